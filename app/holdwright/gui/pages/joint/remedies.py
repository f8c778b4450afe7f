"""What keeps a hold from turning where friction does not, each with one click."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import HoldwrightError
from holdwright.gui.document.document import Document
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import column
from holdwright.joint.advice.relief_gain import ReliefGain
from holdwright.joint.card.joint_card import JointCard, joint_cards
from holdwright.operations.cut_screw_hole import CutScrewHole
from holdwright.operations.relieve_back import RelieveBack
from holdwright.pipeline.views.joint_view import JointView


class Remedies(QWidget):
    """Adds a step to the recipe, undone like any other change.

    Attributes
    ----------
    relieve_button, screw_button
        Shown where they help.
    """

    def __init__(self, document: Document, catalogue: Catalogue, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._catalogue = document, catalogue
        tip = "Add a step Relieve back to the recipe: what it does to the safety against turning"
        self.relieve_button = self._button("", RelieveBack.name, tip)
        tip = "Add a step Cut screw hole to the recipe, at the place with most effect"
        self.screw_button = self._button("Cut a screw hole", CutScrewHole.name, tip)
        stack = column(on=self)
        for button in (self.relieve_button, self.screw_button):
            stack.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)

    def show_joint(self, view: JointView, cards: Sequence[JointCard]) -> None:
        """Offer what helps a joint."""
        turns = not cards[0].spin.within_limit
        gain = self._gain(view, cards) if turns else None
        self.relieve_button.setVisible(gain is not None and gain.after > gain.before)
        if gain is not None:
            sentence = gain.sentence
            self.relieve_button.set_words(f"{sentence[:1].upper()}{sentence[1:]}")
        self.screw_button.setVisible(turns and bool(cards[0].screws.value))

    def _gain(self, view: JointView, cards: Sequence[JointCard]) -> ReliefGain | None:
        if view.relieved is None:
            return None
        try:
            relieved = joint_cards(view.relieved, cards[0].conditions, self._catalogue)
        except HoldwrightError:
            return None
        return ReliefGain(cards[0].spin.value or 0.0, relieved[0].spin.value or 0.0)

    def _button(self, words: str, operation: str, tip: str) -> QuietButton:
        button = QuietButton(words, self, icon_name="plus", tip=tip, clicked=lambda: self._add(operation))
        button.hide()
        return button

    def _add(self, operation: str) -> None:
        self._document.edits.add_step(operation)
