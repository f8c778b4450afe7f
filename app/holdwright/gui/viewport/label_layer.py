"""A clear sheet over the scene, on which figures and flags are written."""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QPoint, QPointF, QRectF, Qt, QVariantAnimation
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen, QPixmap
from PySide6.QtWidgets import QWidget

from holdwright.gui.widgets import style

_PAD: Final = 4.0
_CROSS: Final = 7

_AWAY: Final = sorted(
    ((right, down) for right in range(-2, 3) for down in range(-3, 4)),
    key=lambda step: (step[0] ** 2 + step[1] ** 2, -step[0], step[1]),
)
"""Where else a slip may lie, in steps right and down, the nearest first."""


class LabelLayer(QWidget):
    """Lies over the scene and lets the pointer through.

    Parameters
    ----------
    paint
        Writes all there is to write.
    tones
        Gives the colours of the scheme.
    """

    def __init__(
        self, paint: Callable[[QPainter], None], tones: Callable[[], style.Colours], parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setAttribute(Qt.WidgetAttribute.WA_NoSystemBackground)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._paint = paint
        self._tones = tones
        self._focused = False
        self._before: QPixmap | None = None
        self._fading = QVariantAnimation(self)
        self._fading.setStartValue(1.0)
        self._fading.setEndValue(0.0)
        self._fading.setDuration(style.FADE_MS)
        self._fading.valueChanged.connect(lambda _share: self.update())

    def fade(self, before: QPixmap) -> None:
        """Let a picture of the scene fade out over what comes after it."""
        self._before = before
        self._fading.start()

    def show_focus(self, focused: bool) -> None:
        """Frame the view while it listens to the keys, or no longer."""
        self._focused = focused
        self.update()

    def stop(self) -> None:
        """Let nothing fade any more."""
        self._fading.stop()
        self._before = None

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Write everything."""
        painter = QPainter(self)
        painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
        if self._before is not None:
            share = float(self._fading.currentValue())
            painter.setOpacity(share)
            painter.drawPixmap(self.rect(), self._before)
            painter.setOpacity(1.0)
            self._before = self._before if share > 0 else None
        font = style.text_font()
        font.setPointSizeF(font.pointSizeF() * 0.92)
        painter.setFont(font)
        self._paint(painter)
        if self._focused:
            painter.setPen(QPen(QColor(self._tones().accent), 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
            # Where a click by key goes.
            middle = self.rect().center()
            for across in (QPoint(_CROSS, 0), QPoint(0, _CROSS)):
                painter.drawLine(middle - across, middle + across)
        painter.end()


class Room:
    """What of the sheet is taken, rectangle by rectangle, while it is written."""

    def __init__(self, *taken: QRectF) -> None:
        self.taken = list(taken)

    def find(self, slip: QRectF, within: QRectF) -> QRectF:
        """Take the place nearest to where a slip should lie that is free; that itself where none is."""
        wide, high = 0.5 * slip.width() + 16.0, slip.height() + 4.0
        tried = (_kept(slip.translated(right * wide, down * high), within) for right, down in _AWAY)
        free = (each for each in tried if not any(each.intersects(other) for other in self.taken))
        found = next(free, _kept(slip, within))
        self.taken.append(found)
        return found


def _kept(slip: QRectF, within: QRectF) -> QRectF:
    """Move a slip into a frame."""
    left = max(min(slip.left(), within.right() - slip.width()), within.left())
    top = max(min(slip.top(), within.bottom() - slip.height()), within.top())
    return QRectF(left, top, slip.width(), slip.height())


def draw_slip(painter: QPainter, slip: QRectF, tones: style.Colours) -> None:
    """Draw the paper under words."""
    paper = QColor(tones.raised)
    paper.setAlpha(238)
    painter.setBrush(paper)
    painter.setPen(QPen(QColor(tones.hairline), 1.0))
    painter.drawRoundedRect(slip, 3.0, 3.0)


def write_on_paper(
    painter: QPainter, middle: QPointF, text: str, tones: style.Colours, room: Room | None = None
) -> None:
    """Write one or more lines on a slip of paper; it stays within what is painted on, where there is room."""
    lines = text.split("\n")
    metrics = QFontMetricsF(painter.font())
    width = max(metrics.horizontalAdvance(line) for line in lines) + 2 * _PAD + 4
    height = metrics.height() * len(lines) + _PAD
    slip = QRectF(middle.x() - width / 2, middle.y() - height / 2, width, height)
    device = painter.device()
    within = QRectF(4.0, 4.0, device.width() - 8.0, device.height() - 8.0)
    slip = (room or Room()).find(slip, within)
    draw_slip(painter, slip, tones)
    painter.setPen(QColor(tones.ink))
    for number, line in enumerate(lines):
        row = QRectF(slip.left(), slip.top() + _PAD / 2 + number * metrics.height(), width, metrics.height())
        painter.drawText(row, Qt.AlignmentFlag.AlignCenter, line)
