"""The joint card: explains the verdict on the joint, and what another bolt, torque or load would do."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import HoldwrightError
from holdwright.gui.document.document import Document
from holdwright.gui.pages.joint.base_drawing import BackView, Sections
from holdwright.gui.pages.joint.bored_steps import bore_steps, hold_to_judge, step_that_bored
from holdwright.gui.pages.joint.figure_list import FigureList
from holdwright.gui.pages.joint.figure_texts import card_lines, leading_first, names_in
from holdwright.gui.pages.joint.judged_for import JudgedFor
from holdwright.gui.pages.joint.place_choice import PlaceChoice
from holdwright.gui.pages.joint.remedies import Remedies
from holdwright.gui.pages.page import Page, caution_fold, paragraph
from holdwright.gui.sidebar.finding_line import FindingLine
from holdwright.gui.sidebar.step_state import shop_numbers
from holdwright.gui.widgets import style
from holdwright.gui.widgets.fold import Fold
from holdwright.gui.widgets.layout import TextLabel, clear, column
from holdwright.gui.widgets.number_format import Preferred, held_together, in_unit, typeset
from holdwright.hold.finding import Finding
from holdwright.hold.finding_rank import rank
from holdwright.joint.advice.findings import joint_findings
from holdwright.joint.advice.holding_findings import verdict
from holdwright.joint.advice.on_the_wall import SOURCE, wall_practice
from holdwright.joint.card.joint_card import JointCard, joint_cards
from holdwright.joint.conditions import Conditions, conditions
from holdwright.operations.cut_bore import CutBoreParameters
from holdwright.pipeline.replaying.joint_verdict import shell_fill
from holdwright.pipeline.views.joint_view import JointRequest, JointView, view_joint

STOPPED: Final = "Stopped as asked; open the joint card again to have it measured."


class JointPage(Page):
    """The hold's shape is measured once for each result; all else is computed anew at each choice.

    Attributes
    ----------
    cards
        The cards shown; none while there is nothing to compute.
    sentence
        Why there are none.

    Signals
    -------
    finding_chosen
        A finding was clicked: id of the step that bored, and it.
    """

    finding_chosen = Signal(str, object)

    def __init__(self, document: Document, catalogue: Catalogue, parent: QWidget | None = None) -> None:
        super().__init__("Joint card", parent)
        self._document = document
        self._catalogue = catalogue
        self._view: JointView | None = None
        self._view_key = ""
        self._requested_key = ""
        self._number = 0
        self._unit: Preferred = "mm"
        self._failed = ""
        self._computed_for: tuple[str, Conditions] | None = None
        self.cards: tuple[JointCard, ...] = ()
        self._findings: tuple[Finding, ...] | None = None
        self.judged_for = JudgedFor(document, catalogue, self)
        self.hardware = self.judged_for.hardware
        self.remedies = Remedies(document, catalogue, self)
        self.first, self.figures = FigureList(self), FigureList(self)
        self.sections, self.back = Sections(self), BackView(self)
        self.places = PlaceChoice(document, self._in_unit, self)
        self._verdict_column = column(margins=(0, 0, 0, style.GRID))
        self._finding_column = column(gap=1)
        self._practice = column(gap=style.GRID)
        self._lay_out()
        self._connect()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What deserves a look in them, the verdict first."""
        return self._findings or ()

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802
        """Measure the hold where it is another than before, or could not be measured."""
        super().showEvent(event)
        if self._failed:
            self._requested_key, self._failed = "", ""
        self.refresh()

    def hideEvent(self, event: QHideEvent) -> None:  # noqa: N802
        """End what is tried: seen again, the card is of the recipe."""
        super().hideEvent(event)
        if not event.spontaneous():
            self.hardware.end_trial()

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit; what is bought goes by its name."""
        self._unit, self._findings, self._computed_for = unit, None, None
        self.judged_for.drop_form()
        self.refresh()
        self.places.show_again()

    def refresh(self) -> None:
        """Show the hold as it is; one that was not measured yet is measured now."""
        if not self.isVisible():
            return
        requested = self._conditions()
        self.judged_for.refresh(self._unit)
        if requested is None:
            return
        bores = bore_steps(self._document.recipe)
        self.places.refresh(requested if bores else None)
        self._places_heading.setVisible(bool(bores))
        step, sentence = hold_to_judge(self._document)
        if step is None:
            self._show_sentence(sentence)
        elif step.key == self._view_key:
            # Heard of many times in one replay: computed once.
            if (step.key, requested) != self._computed_for or not self.cards:
                self._computed_for = step.key, requested
                self._compute(requested)
        elif step.key != self._requested_key:
            self._document.supervisor.stop(self._number)
            # Before it is sent: that work begins is heard here too.
            self._requested_key, self._failed = step.key, ""
            request = JointRequest(step.id, step.key)
            self._number = self._document.supervisor.send(view_joint, request, self._document.recipe)
            self._show_sentence("Measuring the joint.")
        else:
            self._show_sentence(self._failed or "Measuring the joint.")

    # What the hold is

    def _conditions(self) -> Conditions | None:
        """Look up what the recipe has the joint judged for, and what is tried; say why not."""
        recipe = self._document.recipe
        bores = bore_steps(recipe)
        parameters = bores[0].parameters if bores else None
        try:
            if isinstance(parameters, CutBoreParameters):
                self.hardware.use_hardware(parameters.screw, parameters.washer)
            return self.hardware.tried_in(
                conditions(self._catalogue, recipe.joint, fill=shell_fill(recipe.print))
            )
        except HoldwrightError as error:
            self._show_sentence(str(error))
            return None

    def _take(self, number: int, what: object, failed: str, stopped: bool) -> None:
        if number != self._number:
            return
        self._number = 0
        if isinstance(what, JointView):
            self._view, self._view_key = what, self._requested_key
        else:
            self._failed = STOPPED if stopped else failed
        self.refresh()

    # What comes of it

    def _show_sentence(self, sentence: str) -> None:
        """Say why there are no figures."""
        self.cards = ()
        self.sentence.show_words(sentence)
        self._show_findings(())
        self._show_figures(shown=False)

    def _compute(self, requested: Conditions) -> None:
        """Compute the cards for what is chosen."""
        if self._view is None:
            return
        try:
            cards = joint_cards(self._view.shape, requested, self._catalogue)
        except HoldwrightError as error:
            self._show_sentence(str(error))
            return
        self.cards = cards
        self.sentence.show_words(self.hardware.tried_words)
        self._show_findings(joint_findings(cards))
        for drawings in (self.sections, self.back):
            drawings.show_joint(self._view, cards, self._unit)
        lines = [
            replace(each, text=self._in_unit(each.text), limit=self._in_unit(each.limit))
            for each in card_lines(cards)
        ]
        first, others = leading_first(lines)
        self.first.show_lines(first)
        self.figures.show_lines(others)
        self._show_practice(cards[0])
        self.remedies.show_joint(self._view, cards)
        self._show_figures(shown=True)

    def _show_figures(self, *, shown: bool) -> None:
        for part in (self.remedies, self.first, self.figures, self.sections, self.back, self._wall_fold):
            part.setVisible(shown)

    def _show_findings(self, findings: tuple[Finding, ...]) -> None:
        """Put the verdict on top, and what else there is beneath the section, the gravest first."""
        decides = verdict(findings)
        others = [each for each in findings if each is not decides]
        ordered = (
            *((decides,) if decides else ()),
            *sorted(others, key=rank),
        )
        if ordered == self._findings:
            return
        self._findings = ordered
        self._fill(self._verdict_column, ordered[:1] if decides else ())
        self._fill(self._finding_column, ordered[1:] if decides else ordered)

    def _fill(self, stack: QVBoxLayout, findings: Sequence[Finding]) -> None:
        clear(stack)
        numbers = shop_numbers(self._document.recipe.steps)
        bores = self._view.shape.bores if self._view is not None else ()
        for finding in findings:
            step_id = step_that_bored(self._document, bores, finding)
            line = FindingLine(numbers[step_id], finding, self._in_unit, self)
            line.clicked.connect(
                lambda _on=False, step_id=step_id, finding=finding: self.finding_chosen.emit(step_id, finding)
            )
            stack.addWidget(line)
            line.show()

    def _show_practice(self, card: JointCard) -> None:
        """Say what to do on the wall."""
        clear(self._practice)
        lines = [f"{title}. {text}" for title, text in wall_practice(card)]
        for words in (*lines, f"{SOURCE.capitalize()}."):
            self._practice.addWidget(paragraph(held_together(typeset(self._in_unit(words))), self))

    def _in_unit(self, text: str) -> str:
        """Give a text with its lengths in the unit preferred."""
        return in_unit(text, self._unit, [name for card in self.cards for name in names_in(card)])

    # Laying out

    def _connect(self) -> None:
        document = self._document
        for signal in (
            document.opened,
            document.recipe_changed,
            document.step_shown,
            document.busy_changed,
            self.hardware.changed,
        ):
            signal.connect(self.refresh)
        document.supervisor.ended.connect(self._take)
        document.leaving.connect(self.hardware.end_trial)

    def _lay_out(self) -> None:
        head = QWidget(self)
        self.sentence = TextLabel("", head, wrap=True)
        self.sentence.setContentsMargins(style.MARGIN, style.GAP, style.MARGIN, style.GAP)
        column(self._verdict_column, self.sentence, on=head)
        self.add_head(head)
        self.column.addWidget(self.remedies)
        self.column.addWidget(self.first)
        self.column.addWidget(self.sections)
        self.column.addWidget(self.judged_for)
        self.column.addLayout(self._finding_column)
        self.column.addWidget(self.figures)
        self.column.addWidget(self.back)
        practice = QWidget(self)
        practice.setLayout(self._practice)
        self._wall_fold = Fold("What to do on the wall", practice, self)
        self.column.addWidget(self._wall_fold)
        self._places_heading = self.add_heading("Best places for the bore")
        self.column.addWidget(self.places)
        self._show_figures(shown=False)
        self.column.addStretch(1)
        self.add_foot(caution_fold(self))
