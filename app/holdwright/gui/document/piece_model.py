"""The sculpt's pieces as the window knows them: what is known of each, which is pointed at or left out."""

from glob import escape
from typing import Any

import numpy as np
from PySide6.QtCore import QObject, Signal

from holdwright.gui.document.document_state import DocumentState
from holdwright.hold.finding import point
from holdwright.hold.piece_account import PieceAccount
from holdwright.operations.import_sculpt import ImportSculpt, ImportSculptParameters
from holdwright.parameters.piece_names import without
from holdwright.pipeline.recipes.recipe import Step
from holdwright.pipeline.views.display_results import ShownSculpt, Surface
from holdwright.pipeline.views.raw_survey import (
    BY_NAME,
    CHOICE_OF,
    RawSurvey,
    survey_pieces,
    survey_raw,
    why_left_out,
)


class Pieces(QObject):
    """Keeps list and view in step: both read it, and both hear its signals.

    What import reports of the pieces comes with its result. Where import fails, and to find out which
    triangles of the raw sculpt are whose, the geometry process is queried when it has nothing else to do, and
    only while the import is worked on.

    Attributes
    ----------
    accounts
        What is known of each piece; of a sculpt just read no more than names and sizes.
    look
        Where the pieces are in the raw sculpt; None before that is known, and where groups are pieces.
    pointed, chosen
        Names of the piece under the pointer, in list or view, and of the piece chosen; blank for none.

    Signals
    -------
    changed
        Something else is known of the pieces.
    pointed_changed
        Another piece is pointed at, or chosen.
    """

    changed = Signal()
    pointed_changed = Signal()

    def __init__(self, document: DocumentState) -> None:
        super().__init__(document)
        self._document = document
        self.accounts: tuple[PieceAccount, ...] = ()
        self._of: tuple[object, ...] = ()
        self._final = False
        self.look: RawSurvey | None = None
        self._sent: set[object] = set()
        self._requested: dict[int, object] = {}
        self.pointed = self.chosen = ""
        self._scale: float | None = None
        document.opened.connect(self._forget)
        document.sculpt_shown.connect(self._take_sculpt)
        document.step_shown.connect(lambda _id: self._take_result())
        document.selected_changed.connect(self._query)
        document.busy_changed.connect(self._take_busy)
        document.supervisor.ended.connect(self._take_answer)

    @property
    def millimetres(self) -> float | None:
        """How many mm one of the sculpt's units is on the hold as it is built; None while not known."""
        for step in reversed(self._document.recipe.steps):
            shown = self._document.step(step.id)
            if shown is not None and shown.sized:
                return float(np.cbrt(abs(np.linalg.det(shown.placement[:3, :3]))))
        return None

    def account(self, name: str) -> PieceAccount | None:
        """Give what is known of the piece of a name."""
        return next((each for each in self.accounts if each.name == name), None)

    def why_left(self, account: PieceAccount) -> str:
        """Say why the recipe leaves a piece out; blank where it does not."""
        values = self._values()
        return why_left_out(account, values) if values is not None else ""

    def point(self, name: str) -> None:
        """Hear that the pointer is on a piece, or on none."""
        if name != self.pointed:
            self.pointed = name
            self.pointed_changed.emit()

    def choose(self, name: str) -> None:
        """Choose a piece, or none."""
        if name != self.chosen:
            self.chosen = name
            self.pointed_changed.emit()

    def toggle(self, name: str) -> None:
        """Leave a piece out of the hold, or take it in again: one edit of the recipe."""
        step, values, account = self._step(), self._values(), self.account(name)
        if step is None or values is None or account is None:
            return
        why = self.why_left(account)
        changes: dict[str, Any] = {}
        if why in ("", "scrap"):
            changes["leave_out"] = (*values.leave_out, escape(name))
        elif why == BY_NAME:
            names = [each.name for each in self.accounts]
            changes["leave_out"] = without(values.leave_out, name, names)
        if why and account.role in CHOICE_OF:
            changes[CHOICE_OF[account.role]] = "keep"
        self._document.edits.edit(step.id, changes)

    def _step(self) -> Step | None:
        steps = self._document.recipe.steps
        return steps[0] if steps and steps[0].operation == ImportSculpt.name else None

    def _values(self) -> ImportSculptParameters | None:
        values = getattr(self._step(), "parameters", None)
        return values if isinstance(values, ImportSculptParameters) else None

    def _take_sculpt(self) -> None:
        sculpt = self._document.sculpt
        if sculpt is not None and (not self._of or self._of[0] != sculpt.digest):
            self._forget()
            self._take_accounts(tuple(_bare(name, surface) for name, surface in sculpt.pieces), final=False)

    def _take_result(self) -> None:
        step, sculpt = self._step(), self._document.sculpt
        shown = self._document.step(step.id) if step is not None else None
        if shown is None or sculpt is None:
            return
        if shown.pieces and shown.pieces is not self.accounts:
            self._take_accounts(shown.pieces, final=True)
        elif shown.failed:
            self._query()

    def _take_busy(self, busy: bool) -> None:
        """All is done: sizes may be others, for another step has scaled the hold."""
        if busy:
            return
        before, self._scale = self._scale, self.millimetres
        if before != self._scale:
            self.changed.emit()
        self._query()

    def _take_accounts(self, accounts: tuple[PieceAccount, ...], *, final: bool) -> None:
        before = self._mark()
        self.accounts, self._final, self._of = accounts, final, self._present()
        if before != self._mark():
            self.look = None
            self._sent.discard(("look", self._mark()))
        names = {each.name for each in accounts}
        self.pointed = self.pointed if self.pointed in names else ""
        self.chosen = self.chosen if self.chosen in names else ""
        self.changed.emit()
        self._query()

    def _query(self) -> None:
        """Have found out what is required and not yet known, unless other work goes on."""
        step, document = self._step(), self._document
        if step is None or document.selected != step.id or document.busy or document.sculpt is None:
            return
        shown = document.step(step.id)
        failed = shown is not None and bool(shown.failed)
        if failed and (not self._final or self._of != self._present()):
            self._send(survey_pieces, None, ("survey", *self._present()))
        elif self._final and self._needs_look():
            self._send(survey_raw, self.accounts, ("look", self._mark()))

    def _send(self, work: Any, requested: object, mark: object) -> None:
        if mark in self._sent:
            return
        self._sent.add(mark)
        number = self._document.supervisor.send(work, requested, self._document.recipe)
        if number:
            self._requested[number] = mark

    def _take_answer(self, number: int, what: object, _failed: str, _stopped: bool) -> None:
        mark = self._requested.pop(number, None)
        if isinstance(what, RawSurvey) and mark == ("look", self._mark()):
            self.look = what
            self.changed.emit()
        elif isinstance(what, tuple) and mark == ("survey", *self._present()):
            self._take_accounts(what, final=True)

    def _needs_look(self) -> bool:
        """Tell whether to look at the raw sculpt: its groups are not the pieces, or not all sound."""
        sculpt = self._document.sculpt
        groups = [name for name, _ in sculpt.pieces] if sculpt else []
        names = [each.name for each in self.accounts]
        return names != groups or any(each.grade != "as sculpted" for each in self.accounts)

    def _mark(self) -> tuple[object, ...]:
        return (self._of[0] if self._of else "", tuple((each.name, each.grade) for each in self.accounts))

    def _present(self) -> tuple[object, ...]:
        """Give what an account of the pieces goes by: the sculpt, and how the recipe mends it."""
        sculpt: ShownSculpt | None = self._document.sculpt
        values = self._values()
        if sculpt is None or values is None:
            return ()
        return (sculpt.digest, values.mend, values.largest_hole, values.rebuild_grid, values.unit)

    def _forget(self) -> None:
        self.accounts, self._of, self._final, self.look = (), (), False, None
        self._sent.clear()
        self.pointed = self.chosen = ""
        self.changed.emit()


def _bare(name: str, surface: Surface) -> PieceAccount:
    low, high = surface.bounds
    return PieceAccount(name, len(surface.triangles), point(low), point(high), None, "", None)
