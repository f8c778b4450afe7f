"""Files as they will be written, and as they were."""

from PySide6.QtWidgets import QGridLayout, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import ElidedLabel, TextLabel, clear
from holdwright.gui.widgets.painting import RIGHT
from holdwright.printable import printable


class FileList(QWidget):
    """One line a file: its name, and its size once there is one."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: tuple[tuple[str, int | None], ...] = ()
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(style.MARGIN)
        self._grid.setVerticalSpacing(style.GRID)
        self._grid.setColumnStretch(0, 1)
        self.setAccessibleName("Files")

    @property
    def lines(self) -> tuple[str, ...]:
        """What it says, line by line."""
        return tuple(name if size is None else f"{name}  {size_of_file(size)}" for name, size in self._shown)

    def show_files(self, files: tuple[tuple[str, int | None], ...]) -> None:
        """Show files by name, with their bytes once they are written."""
        if files == self._shown:
            return
        self._shown = files
        clear(self._grid)
        for row, (name, size) in enumerate(files):
            label = ElidedLabel(self)
            label.show_text(name)
            self._grid.addWidget(label, row, 0)
            if size is not None:
                figure = TextLabel(size_of_file(size), self, faint=True)
                figure.setAlignment(RIGHT)
                self._grid.addWidget(figure, row, 1)
        self.setAccessibleDescription(printable(", ".join(self.lines)))


def size_of_file(size: int) -> str:
    """Write a file's size: 1 kB is 1000 bytes (IEC 80000-13)."""
    if size < 1000:
        return f"{size} B"
    if size < 999_500:
        return f"{size / 1e3:.0f} kB"
    return f"{size / 1e6:.1f} MB"
