"""The drawings of a joint beneath each other, with what they show in words."""

from PySide6.QtWidgets import QWidget

from holdwright.gui.pages.joint.base_drawing import BaseDrawing
from holdwright.gui.pages.joint.section_drawing import SectionDrawing
from holdwright.gui.pages.page import paragraph
from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import column, resize_list
from holdwright.joint.joint_card import JointCard
from holdwright.joint.overturning import lifting
from holdwright.pipeline.joint_view import JointView


class Drawings(QWidget):
    """A section through each bolt, and the back.

    Attributes
    ----------
    sections, base
        The drawings.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sections: list[SectionDrawing] = []
        self.base = BaseDrawing(self)
        self._sections = column(gap=-1)
        self._base_words = paragraph("", self, faint=True)
        words = paragraph("Cut open through the bolt; to scale, lengths in mm.", self, faint=True)
        items = (self._sections, words, style.GAP, self.base, self._base_words)
        column(*items, on=self, margins=(0, style.GAP, 0, 0), gap=style.GRID)

    def show_joint(self, view: JointView, cards: tuple[JointCard, ...]) -> None:
        """Draw another joint."""
        resize_list(self._sections, self.sections, len(view.profiles), lambda: SectionDrawing(self))
        for drawing, card, profile in zip(self.sections, cards, view.profiles, strict=True):
            drawing.show_joint(card, profile)
        shape, load = view.shape, cards[0].conditions.load
        clamp = sum(card.preload.residual for card in cards)
        self.base.show_joint(shape, cards, lifting(shape.contact, shape.reach, load, clamp))
        self._base_words.setText(self.base.words)
