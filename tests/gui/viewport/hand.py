"""A hand on the view: pixels of places, drags, clicks, the wheel, and colours seen."""

import numpy as np
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QWheelEvent
from PySide6.QtWidgets import QApplication

LEFT, MIDDLE = Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton
SHIFT = Qt.KeyboardModifier.ShiftModifier


def glass(view):
    """The widget that hears of the pointer."""
    return view.focusProxy()


def pixel_of(view, place) -> tuple[float, float]:
    """The pixel at which a place in mm is seen."""
    x, y, _ = view.lens.project(place)[0]
    return x, y


def drag(qtbot, view, start, stop, button=LEFT, modifier=Qt.KeyboardModifier.NoModifier):
    qtbot.mousePress(glass(view), button, modifier, QPoint(*start))
    for share in (0.5, 1.0):
        spot = np.array(start) + share * (np.array(stop) - np.array(start))
        qtbot.mouseMove(glass(view), QPoint(*spot.astype(int)))
    qtbot.mouseRelease(glass(view), button, modifier, QPoint(*stop))


def click(qtbot, view, place):
    x, y = pixel_of(view, place)
    qtbot.mouseClick(glass(view), LEFT, Qt.KeyboardModifier.NoModifier, QPoint(round(x), round(y)))


def wheel(view, x, y, notches):
    spot = QPointF(x, y)
    event = QWheelEvent(
        spot,
        glass(view).mapToGlobal(spot),
        QPoint(),
        QPoint(0, 120 * notches),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(glass(view), event)


def colour_of(view, x, y) -> QColor:
    return view.grab().toImage().pixelColor(round(x), round(y))


def difference(one: QColor, other: QColor) -> int:
    return max(abs(a - b) for a, b in zip(one.getRgb()[:3], other.getRgb()[:3], strict=True))
