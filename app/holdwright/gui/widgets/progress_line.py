"""One thin line that moves while work goes on."""

from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt, QTimer
from PySide6.QtGui import QColor, QHideEvent, QPainter, QShowEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from holdwright.gui.widgets import style
from holdwright.gui.widgets.painting import Painted

HEIGHT: Final = 2
TICK_MS: Final = 40
PATIENCE_MS: Final = 300
"""Work that is done sooner does not move it: each move has the window put together anew, beside that work."""
_PER_TICK: Final = 0.02
_LENGTH: Final = 0.25


class ProgressLine(Painted, QWidget):
    """A quiet line across; while working it is ink as far as the work is done, and a piece travels along it.

    Nobody hears of it: what it says is said in words elsewhere.

    Parameters
    ----------
    still
        Whether no piece travels: work of many minutes is not to share the processor with a moving line.
    """

    def __init__(self, parent: QWidget | None = None, *, still: bool = False) -> None:
        super().__init__(parent)
        self._still = still
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self._working = False
        self._fraction = 0.0
        self._place = 0.0
        self._timer = QTimer(self, interval=TICK_MS)
        self._timer.timeout.connect(self._tick)
        self._patience = QTimer(self, singleShot=True, interval=PATIENCE_MS)
        self._patience.timeout.connect(self._run)

    def set_working(self, working: bool) -> None:
        """Let it move, or lie still."""
        if working != self._working:
            self._working = working
            self._fraction = self._place = 0.0
            if working:
                self._patience.start()
            else:
                self._patience.stop()
                self._run()

    def set_fraction(self, fraction: float) -> None:
        """Draw the part that is done in ink."""
        self._fraction = min(max(fraction, 0.0), 1.0)
        if self._moves:
            self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the line's thickness."""
        return QSize(0, HEIGHT)

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802
        """Move again."""
        super().showEvent(event)
        self._run()

    def hideEvent(self, event: QHideEvent) -> None:  # noqa: N802
        """Rest while nobody sees it."""
        super().hideEvent(event)
        self._timer.stop()

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the line, what is done of it, and what moves."""
        width = float(self.width())
        painter.fillRect(QRectF(0, self.height() - 1, width, 1), QColor(tone.hairline))
        if self._moves:
            ink = QColor(tone.ink)
            painter.fillRect(QRectF(0, 0, width * self._fraction, self.height()), ink)
            if self._still:
                return
            ink.setAlphaF(0.45)
            start = (self._place * (1 + _LENGTH) - _LENGTH) * width
            painter.fillRect(QRectF(start, 0, width * _LENGTH, self.height()), ink)

    @property
    def _moves(self) -> bool:
        return self._working and not self._patience.isActive()

    def _run(self) -> None:
        if not (self._moves and self.isVisible()):
            shown = self._still or self._timer.isActive()
            self._timer.stop()
            if not shown:
                return
        elif not (self._still or self._timer.isActive()):
            self._timer.start()
        self.update()

    def _tick(self) -> None:
        self._place = (self._place + _PER_TICK) % 1.0
        self.update()


def progress_text(fraction: float, text: str) -> str:
    """Write how far work is, with a short text on what is being done."""
    if fraction >= 1.0:
        return "Finishing"
    return ", ".join(filter(None, (text[:1].upper() + text[1:], f"{100.0 * fraction:.0f} %")))
