"""The drawings of a joint beneath each other, with what they show in words."""

from collections.abc import Callable

from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from holdwright.gui.pages.joint.base_drawing import BaseDrawing
from holdwright.gui.pages.joint.section_drawing import SectionDrawing
from holdwright.gui.widgets import style
from holdwright.joint.joint_card import JointCard
from holdwright.joint.overturning import lifting
from holdwright.pipeline.joint_view import JointView


class Drawings(QWidget):
    """A section through each bolt, and the back.

    Parameters
    ----------
    words
        Makes a paragraph in the page's type.

    Attributes
    ----------
    sections, base
        The drawings.
    """

    def __init__(self, words: Callable[[], QLabel], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sections: list[SectionDrawing] = []
        self.base = BaseDrawing(self)
        self._sections = QVBoxLayout()
        self._base_words = words()
        section_words = words()
        section_words.setText("Cut open through the bolt; to scale, lengths in mm.")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, style.GAP, 0, 0)
        column.setSpacing(style.GRID)
        column.addLayout(self._sections)
        column.addWidget(section_words)
        column.addSpacing(style.GAP)
        column.addWidget(self.base)
        column.addWidget(self._base_words)

    def show_joint(self, view: JointView, cards: tuple[JointCard, ...]) -> None:
        """Draw another joint."""
        while len(self.sections) > len(view.profiles):
            gone = self.sections.pop()
            self._sections.removeWidget(gone)
            gone.hide()
            gone.deleteLater()
        while len(self.sections) < len(view.profiles):
            made = SectionDrawing(self)
            self._sections.addWidget(made)
            self.sections.append(made)
        for drawing, card, profile in zip(self.sections, cards, view.profiles, strict=True):
            drawing.show_joint(card, profile)
        shape, load = view.shape, cards[0].conditions.load
        clamp = sum(card.preload.residual for card in cards)
        self.base.show_joint(shape, cards, lifting(shape.contact, shape.reach, load, clamp))
        self._base_words.setText(self.base.words)
