"""The joint card: whether the finished hold stays put, and what another bolt or torque would do."""

from dataclasses import replace
from math import hypot
from typing import Final

from PySide6.QtCore import QSettings, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QWidget

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import HoldwrightError
from holdwright.gui.document.document import Document
from holdwright.gui.pages.joint.base_drawing import Drawings
from holdwright.gui.pages.joint.condition_form import JointChoices, LastConditions
from holdwright.gui.pages.joint.figure_list import FigureList
from holdwright.gui.pages.joint.figure_texts import card_lines, names_in
from holdwright.gui.pages.joint.place_choice import PlaceChoice
from holdwright.gui.pages.page import Page, paragraph
from holdwright.gui.sidebar.finding_line import GRAVEST, FindingLine
from holdwright.gui.sidebar.step_state import shop_numbers
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import clear, column, row
from holdwright.gui.widgets.number_format import Preferred, in_unit
from holdwright.hold.finding import Finding
from holdwright.joint.cautions import CAUTIONS
from holdwright.joint.findings import joint_findings
from holdwright.joint.joint_card import JointCard, joint_cards
from holdwright.operations.cut_bore import CutBore, CutBoreParameters
from holdwright.pipeline.display_results import ShownStep
from holdwright.pipeline.joint_view import JointRequest, JointView, view_joint
from holdwright.pipeline.recipe import Step

STOPPED: Final = "Stopped as asked; open the joint card again to have it measured."


class JointPage(Page):
    """The hold's shape is measured once for each result; all else is reckoned anew at each choice.

    Parameters
    ----------
    settings
        Where wall, material and load are stored.

    Attributes
    ----------
    cards
        The cards shown; none while there is nothing to reckon.
    sentence
        The label on top.

    Signals
    -------
    finding_chosen
        A finding was clicked: id of the step that bored, and it.
    """

    finding_chosen = Signal(str, object)

    def __init__(
        self, document: Document, catalogue: Catalogue, settings: QSettings, parent: QWidget | None = None
    ) -> None:
        super().__init__("Joint card", parent)
        self._document = document
        self._catalogue = catalogue
        self._view: JointView | None = None
        self._view_key = ""
        self._requested_key = ""
        self._number = 0
        self._unit: Preferred = "mm"
        self._failed = ""
        self.cards: tuple[JointCard, ...] = ()
        self._findings: tuple[Finding, ...] | None = None
        self.choices = JointChoices(catalogue, LastConditions(settings, catalogue), self)
        tip = "Bore the hold for this screw and washer"
        self.put_button = QuietButton("Put into the recipe", self, tip=tip, clicked=self._put)
        self.figures = FigureList(self)
        self.drawings = Drawings(self)
        self.places = PlaceChoice(document, self._in_unit, self)
        self._finding_column = column(gap=1)
        self._lay_out()
        self._connect()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What deserves a look in them."""
        return self._findings or ()

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802
        """Measure the hold where it is another than before, or could not be measured."""
        super().showEvent(event)
        if self._failed:
            self._requested_key, self._failed = "", ""
        self.refresh()

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit; what is bought goes by its name."""
        self._unit, self._findings = unit, None
        self.refresh()
        self.places.show_again()

    def refresh(self) -> None:
        """Show the hold as it is; one that was not measured yet is measured now."""
        if not self.isVisible():
            return
        self._take_bored()
        self.places.refresh(self.choices.conditions if self._bores() else None)
        step, sentence = self._finished()
        if step is None:
            self._show_sentence(sentence)
        elif step.key == self._view_key:
            self._reckon()
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

    def _bores(self) -> list[Step]:
        steps = self._document.recipe.steps
        return [step for step in steps if step.enabled and step.operation == CutBore.name]

    def _take_bored(self) -> None:
        """Begin with what the recipe bores for."""
        bores = self._bores()
        parameters = bores[0].parameters if bores else None
        if isinstance(parameters, CutBoreParameters):
            try:
                self.choices.use_hardware(parameters.screw, parameters.washer)
            except HoldwrightError as error:
                self._complaint.show_words(str(error))

    def _finished(self) -> tuple[ShownStep | None, str]:
        """Give the result of the last step, or why there is none."""
        document = self._document
        steps = [step for step in document.recipe.steps if step.enabled]
        if not self._bores():
            return None, "The recipe bores no hole for a bolt, so that there is no joint to reckon."
        shown = {step.id: document.step(step.id) for step in steps if document.is_current(step.id)}
        failed = next((step for step in shown.values() if step is not None and step.failed), None)
        if failed is not None:
            return None, f"The hold is not finished: {failed.failed}"
        last = shown.get(steps[-1].id)
        if last is None:
            waits = "The joint is reckoned once the hold is finished."
            return None, waits if document.busy else f"{waits} Its steps have not all been done."
        return last, ""

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
        self.cards, self._findings = (), None
        self.sentence.setText(sentence)
        self._show_figures(shown=False)
        self._fill_findings(())
        self.put_button.setEnabled(self.choices.is_tried)

    def _reckon(self) -> None:
        """Reckon the cards for what is chosen."""
        self._complaint.show_words("")
        if self._view is None:
            return
        shape, conditions = self._view.shape, self.choices.conditions
        try:
            cards = joint_cards(shape, conditions, self._catalogue)
            findings = joint_findings(cards)
        except HoldwrightError as error:
            self._show_sentence(str(error))
            return
        self.cards = cards
        count = sum(finding.severity != "note" for finding in findings)
        self.sentence.setText(f"{count} to look at" if count else "Nothing to look at")
        if findings != self._findings:
            self._findings = findings
            self._fill_findings(findings)
        self.drawings.show_joint(self._view, cards)
        lines = card_lines(cards)
        self.figures.show_lines(
            [replace(each, text=self._in_unit(each.text), limit=self._in_unit(each.limit)) for each in lines]
        )
        self.put_button.setEnabled(self.choices.is_tried)
        self._show_figures(shown=True)

    def _show_figures(self, *, shown: bool) -> None:
        for part in (self.figures, self.drawings):
            part.setVisible(shown)

    def _fill_findings(self, findings: tuple[Finding, ...]) -> None:
        clear(self._finding_column)
        numbers, bores = shop_numbers(self._document.recipe.steps), self._bores()
        for finding in sorted(findings, key=lambda each: GRAVEST.index(each.severity)):
            step_id = bores[self._bore_of(finding)].id
            line = FindingLine(numbers[step_id], finding, self._in_unit, self)
            line.clicked.connect(
                lambda _on=False, step_id=step_id, finding=finding: self.finding_chosen.emit(step_id, finding)
            )
            self._finding_column.addWidget(line)
            line.show()

    def _in_unit(self, text: str) -> str:
        """Give a text with its lengths in the unit preferred."""
        return in_unit(text, self._unit, [name for card in self.cards for name in names_in(card)])

    def _bore_of(self, finding: Finding) -> int:
        """Give which bore a finding is at."""
        if self._view is None or finding.where is None:
            return 0
        (x, y, _), bores = finding.where, self._view.shape.bores
        return min(range(len(bores)), key=lambda each: hypot(bores[each].x - x, bores[each].y - y))

    def _put(self) -> None:
        """Write screw and washer into every step that bores."""
        hardware = self.choices.hardware
        if hardware is None:
            return
        screw, washer = hardware
        changes = {"screw": screw.name, "washer": washer.name if washer else None}
        for step in self._bores():
            self._document.edits.edit(step.id, changes)

    # Laying out

    def _connect(self) -> None:
        document = self._document
        for signal in (
            document.opened,
            document.recipe_changed,
            document.step_shown,
            document.busy_changed,
            self.choices.changed,
        ):
            signal.connect(self.refresh)
        document.supervisor.ended.connect(self._take)
        self.choices.refused.connect(self._complaint.show_words)

    def _lay_out(self) -> None:
        self.column.addWidget(self.choices)
        self._complaint = self.add_words()
        self._complaint.hide()
        self.put_button.setEnabled(False)
        self.column.addLayout(row(None, self.put_button))
        self.sentence = self.add_heading("")
        self.sentence.setWordWrap(True)
        self.column.addWidget(self.figures)
        self.column.addSpacing(style.GAP)
        self.column.addLayout(self._finding_column)
        self.column.addWidget(self.drawings)
        self.add_heading("Best places for the bore")
        self.column.addWidget(self.places)
        self._show_figures(shown=False)
        self.column.addStretch(1)
        self.add_foot(paragraph(" ".join(CAUTIONS), self, faint=True))
