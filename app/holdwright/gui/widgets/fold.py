"""A line of words that opens what stands beneath it."""

from PySide6.QtWidgets import QWidget

from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.layout import column, row


class Fold(QWidget):
    """Shows its content when its line is clicked, and hides it at the next click.

    Parameters
    ----------
    words
        Of the line.
    content
        What is folded away at first.
    """

    def __init__(self, words: str, content: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.button = QuietButton(words, self, icon_name="chevron-right", clicked=self.toggle)
        self.content = content
        content.hide()
        column(row(self.button, None), content, on=self)

    @property
    def is_open(self) -> bool:
        """Whether its content is shown."""
        return not self.content.isHidden()

    def toggle(self) -> None:
        """Show the content, or hide it."""
        self.content.setVisible(not self.is_open)
        self.set_words(self.button.text())

    def set_words(self, words: str) -> None:
        """Write other words on its line."""
        self.button.set_words(words, icon_name="chevron-down" if self.is_open else "chevron-right")
