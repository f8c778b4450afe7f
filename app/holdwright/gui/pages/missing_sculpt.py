"""Lies over the view of a recipe without a sculpt, or with one that is gone: it says what to do."""

from typing import Final

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from holdwright.gui.document.document import Document
from holdwright.gui.pages.drop_area import DropArea
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.number_format import breakable
from holdwright.printable import printable

WIDTH: Final = 420


class MissingSculpt(DropArea):
    """Shown while there is nothing to see and nothing on its way.

    Signals
    -------
    find_asked
        A sculpt is to be chosen from a folder.
    """

    find_asked = Signal()

    def __init__(self, document: Document, parent: QWidget) -> None:
        super().__init__(parent)
        self._document = document
        self._title = QLabel(self)
        self._title.setFont(style.title_font())
        self._told = QLabel(self)
        for label in (self._title, self._told):
            label.setWordWrap(True)
        self.find_button = QuietButton("", self, primary=True)
        self.find_button.setToolTip("Choose a sculpt from a folder and replay the recipe on it")
        self.find_button.clicked.connect(self.find_asked)
        self.find_button.setMinimumHeight(style.ROW)
        self.setAccessibleName("No sculpt")
        column = QVBoxLayout(self)
        column.setContentsMargins(*(2 * style.MARGIN,) * 4)
        column.setSpacing(style.MARGIN)
        column.addWidget(self._title)
        column.addWidget(self._told)
        column.addWidget(self.find_button, 0, Qt.AlignmentFlag.AlignLeft)
        parent.installEventFilter(self)
        for signal in (document.opened, document.recipe_changed, document.sculpt_shown):
            signal.connect(self.refresh)
        document.busy_changed.connect(lambda _busy: self.refresh())
        self.refresh()

    @property
    def words(self) -> str:
        """What it says; blank while it is not there."""
        return self._title.accessibleName() if self.isVisible() else ""

    def refresh(self) -> None:
        """Come or go, as the document is."""
        document, path = self._document, self._document.sculpt_path
        if document.session is None or document.sculpt is not None or document.busy:
            self.hide()
        elif path is None:
            self._say("Drop a sculpt here", "This recipe has no sculpt yet.", "Choose a sculpt...")
        elif not path.is_file():
            folder = printable(path.parent)
            told = f"The recipe uses it, but {folder} does not have it now. Drop it here, or find it."
            self._say(f"{printable(path.name)} is not there", told, "Find it...")
        else:
            self.hide()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
        """Follow the view's size."""
        if event.type() == QEvent.Type.Resize:
            self._place()
        return super().eventFilter(watched, event)

    def _say(self, title: str, told: str, verb: str) -> None:
        for label, text in ((self._title, title), (self._told, told)):
            label.setText(breakable(text))
            label.setAccessibleName(text)
        self.find_button.setText(verb)
        self.find_button.setAccessibleName(verb)
        self.find_button.updateGeometry()
        self._place()
        self.show()
        self.raise_()

    def _place(self) -> None:
        parent = self.parentWidget()
        if parent is None:
            return
        width = min(WIDTH, parent.width() - 2 * style.MARGIN)
        height = self.heightForWidth(width)
        self.setGeometry((parent.width() - width) // 2, (parent.height() - height) // 2, width, height)
