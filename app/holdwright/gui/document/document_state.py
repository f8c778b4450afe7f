"""What is open in the window, as widgets read it: session, results, signals of their changes, and edits."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from holdwright.errors import HoldwrightError
from holdwright.gui.document.edits import Edits
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.gui.document.solid_cache import SolidCache
from holdwright.gui.document.step_texts import title_of
from holdwright.hold.finding import Finding
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.views.display_results import ShownSculpt, ShownStep
from holdwright.printing.print_estimate import PrintEstimate
from holdwright.printing.print_parameters import PrintParameters
from holdwright.session import Session
from holdwright.strength.breaking_findings import breaking_findings
from holdwright.strength.strength_result import StrengthResult


class DocumentState(QObject):
    """The open document as widgets read it.

    Attributes
    ----------
    supervisor
        Of the process that works for it.
    edits
        The commands that change it.
    session
        The open document without Qt; None in the empty window.
    sculpt
        The raw sculpt, once read.
    safeties
        Of the hold last finished, as of `JointVerdict`; empty where its joint was not judged.
    estimates
        Of the print of the hold as it is, as of `part_estimates`; None while they are not made.
    print_findings, print_current
        What the checks of the print found last, and whether that is of the hold as it is.
    strength, strength_findings, strength_current
        Its strength as computed last, and the same of that.
    failure
        The sentence that ended the last job; blank when it went well.
    stopped
        Whether the last replay was stopped by the user: some steps are as before the change.

    Signals
    -------
    leaving, opened
        Another document is to be opened, or none; it is open.
    saved
        The recipe's file was written.
    recipe_changed, selected_changed, path_changed
        As they say; `path_changed` also when the document becomes dirty or clean.
    step_shown
        A step's result has arrived (its id), or its failure.
    sculpt_shown
        The raw sculpt has been read.
    sculpt_revised
        It is not the one the recipe was last saved for: its file has changed between sessions.
    print_checked, estimated
        Other findings, or estimates, of the print, or they may no longer be true.
    reported, busy_changed, stopped_changed
        How far the work is, with a short text; whether any goes on; whether it was stopped.
    failed, said
        A sentence for the user: something could not be done; something was done.
    """

    leaving = Signal()
    opened = Signal()
    saved = Signal()
    recipe_changed = Signal()
    selected_changed = Signal()
    path_changed = Signal()
    step_shown = Signal(str)
    sculpt_shown = Signal()
    print_checked = Signal()
    estimated = Signal()
    reported = Signal(float, str)
    busy_changed = Signal(bool)
    stopped_changed = Signal(bool)
    sculpt_revised = Signal()
    failed = Signal(str)
    said = Signal(str)

    def __init__(self, supervisor: GeometrySupervisor) -> None:
        super().__init__()
        self.supervisor = supervisor
        self.session: Session | None = None
        self._kept = SolidCache()
        self.sculpt: ShownSculpt | None = None
        self.safeties: Mapping[str, float] = {}
        self.estimates: Mapping[str, PrintEstimate] | None = None
        self.print_findings: tuple[Finding, ...] = ()
        self.print_current = False
        self.strength: StrengthResult | None = None
        self.strength_findings: tuple[Finding, ...] = ()
        self.strength_current = False
        self.failure = ""
        self.stopped = False
        self.edits = Edits(self.do)

    def do(self, command: Callable[[Session], object]) -> bool:
        """Have the session do something, and tell whether it could; a refusal ends in `failed`."""
        if self.session is None:
            return False
        try:
            command(self.session)
        except HoldwrightError as error:
            self.failed.emit(str(error))
            return False
        return True

    @property
    def recipe(self) -> Recipe:
        """The recipe as it is; without steps in the empty window."""
        return self.session.recipe if self.session else Recipe()

    @property
    def selected(self) -> str:
        """Id of the step worked on, or blank."""
        return (self.session.selected or "") if self.session else ""

    @property
    def sculpt_path(self) -> Path | None:
        """The sculpt's file."""
        source = self.recipe.source
        return Path(source.path) if source else None

    @property
    def path(self) -> Path | None:
        """The recipe's file."""
        return self.session.path if self.session else None

    @property
    def dirty(self) -> bool:
        """Whether the recipe differs from its file."""
        return bool(self.session and self.session.is_dirty)

    @property
    def untouched(self) -> bool:
        """Whether it is no more than a sculpt under the recipe to start with: nothing of it is the user's."""
        history = self.session.history if self.session else None
        return bool(history and self.path is None and not history.past and not history.future)

    @property
    def busy(self) -> bool:
        """Whether geometry is being made."""
        return self.supervisor.busy

    @property
    def undo_text(self) -> str:
        """What would be undone, blank for nothing."""
        return (self.session and self.session.history.undo_text) or ""

    @property
    def redo_text(self) -> str:
        """What would be redone, blank for nothing."""
        return (self.session and self.session.history.redo_text) or ""

    def step(self, step_id: str) -> ShownStep | None:
        """Give what a step last gave, with its solids where still stored; None before it gave any."""
        result = self.session.results.last(step_id) if self.session else None
        if not isinstance(result, ShownStep):
            return None
        return replace(result, solids=self._kept.get(result.key))

    def is_current(self, step_id: str) -> bool:
        """Tell whether a step's result is still what it would give."""
        return bool(self.session and self.session.results.current(step_id, self.recipe) is not None)

    def joint_findings(self, step_id: str) -> tuple[Finding, ...]:
        """Give those of a step's findings that the finished joint was judged by."""
        return self.session.results.joint_findings(step_id) if self.session else ()

    @property
    def failed_step(self) -> str:
        """Id of the step that could not be done with the recipe as it is, or blank."""
        results = self.session.results if self.session else None
        for step in self.recipe.steps if results else ():
            last = results.last(step.id) if results else None
            if isinstance(last, ShownStep) and last.failed and self.is_current(step.id):
                return step.id
        return ""

    @property
    def standing_sentence(self) -> str:
        """What stands after a replay was stopped or failed; blank while all is current or on its way."""
        failed = "" if self.busy else self.failed_step
        if not self.stopped and not failed:
            return ""
        steps = {step.id: step for step in self.recipe.steps}
        over = f"{title_of(steps[failed].operation)} failed" if failed else "Stopped"
        at = self.selected or next(reversed(steps), "")
        shown = self.step(at)
        if failed and failed == next(iter(steps)):
            return f"{over}. Shown: the sculpt as it came."
        if at == failed or (shown is None and failed):
            return f"{over}. Shown: the hold before it."
        if self.selected and self.is_current(at):
            return f"{over}. This step is up to date; later ones are as before the change."
        if shown is None:
            return f"{over} before the recipe was done."
        return f"{over}. Shown: as before the change."

    @property
    def findings(self) -> tuple[tuple[str, Finding], ...]:
        """All findings that are current, each with the id of its step, or the name of the print's section."""
        of_steps = self.session.results.findings(self.session.recipe) if self.session else ()
        of_print = self.print_findings if self.print_current else ()
        of_print += self.strength_findings if self.strength_current else ()
        return (*of_steps, *((PrintParameters.name, finding) for finding in of_print))

    def take_print(self, findings: tuple[Finding, ...], *, current: bool) -> None:
        """Take what the checks of the print found, places on the finished hold."""
        if (findings, current) != (self.print_findings, self.print_current):
            self.print_findings, self.print_current = findings, current
            self.print_checked.emit()

    def take_estimates(self, estimates: Mapping[str, PrintEstimate] | None) -> None:
        """Take the estimates of the print; None where they are not of the hold as it is."""
        if estimates is not self.estimates:
            self.estimates = estimates
            self.estimated.emit()

    def take_strength(self, result: StrengthResult | None, *, current: bool) -> None:
        """Take the hold's strength, places on the finished hold."""
        if result is not self.strength or current != self.strength_current:
            self.strength, self.strength_current = result, current
            self.strength_findings = breaking_findings(result) if result is not None else ()
            self.print_checked.emit()

    def found_in(self, found_by: str) -> ShownStep | None:
        """Give the result that a finding's place lies on, by the step or the section that found it."""
        if found_by != PrintParameters.name:
            return self.step(found_by)
        enabled = [step.id for step in self.recipe.steps if step.enabled]
        return self.step(enabled[-1]) if enabled else None
