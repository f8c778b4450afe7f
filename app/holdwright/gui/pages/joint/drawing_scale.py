"""What the drawings of a joint share: millimetres on a sheet of pixels, to one scale both ways."""

from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QColor, QImage, QPainter, QPainterPath
from PySide6.QtWidgets import QSizePolicy, QWidget

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.columns import Grid
from holdwright.gui.widgets import style
from holdwright.gui.widgets.painting import Painted

HEIGHT: Final = 240
"""Height of a drawing, pixels."""

FINEST: Final = 6.0
"""Pixels a millimetre at most, so that a small hold is not drawn larger than life on most screens."""

COARSEST: Final = 1e-3
"""Pixels a millimetre at least: a drawing may be painted before it was given any room."""


class Plan:
    """Fits the rectangle round places (n, 2), mm, into the middle of one of pixels; y is up."""

    def __init__(self, places: Floats, room: QRectF) -> None:
        (x0, y0), (x1, y1) = places.min(axis=0).tolist(), places.max(axis=0).tolist()
        fitting = min(room.width() / max(x1 - x0, 1e-6), room.height() / max(y1 - y0, 1e-6), FINEST)
        self.scale = max(fitting, COARSEST)
        self._x = room.center().x() - self.scale * (x0 + x1) / 2
        self._y = room.center().y() + self.scale * (y0 + y1) / 2

    def at(self, x: float, y: float) -> QPointF:
        """Give a place's pixel."""
        return QPointF(self._x + self.scale * x, self._y - self.scale * y)

    def box(self, x0: float, y0: float, x1: float, y1: float) -> QRectF:
        """Give the pixels of a rectangle."""
        return QRectF(self.at(x0, y0), self.at(x1, y1)).normalized()

    def draw_field(self, painter: QPainter, grid: Grid, image: QImage, within: QPainterPath) -> None:
        """Draw what `field_image` gives of a field over a grid, within a path."""
        half = grid.step / 2
        far_x, far_y = grid.x + grid.columns * grid.step, grid.y + grid.rows * grid.step
        painter.save()
        painter.setClipPath(within)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.drawImage(self.box(grid.x - half, grid.y - half, far_x - half, far_y - half), image)
        painter.restore()

    def circle(self, painter: QPainter, at: QPointF, radius_mm: float) -> None:
        """Draw a circle about a pixel."""
        painter.drawEllipse(at, radius_mm * self.scale, radius_mm * self.scale)

    def path(self, outlines: Iterable[Floats]) -> QPainterPath:
        """Give what closed outlines (n, 2) enclose; those within others are holes."""
        path = QPainterPath()
        for outline in outlines:
            path.moveTo(self.at(*outline[0]))
            for place in outline[1:]:
                path.lineTo(self.at(*place))
            path.closeSubpath()
        return path


def field_image(share: Floats, table: Sequence[QColor]) -> QImage:
    """Colour a field (rows, columns) of shares 0 to 1 by a table, the highest row first as it is drawn."""
    colours = np.array([colour.getRgb() for colour in table], dtype=np.uint8)
    index = np.rint(np.clip(share, 0.0, 1.0) * (len(colours) - 1)).astype(np.intp)
    rows, columns = share.shape
    pixels = colours[index][::-1].tobytes()
    borrowed = QImage(pixels, columns, rows, 4 * columns, QImage.Format.Format_RGBA8888)
    # The image only borrows the bytes, which must outlive it.
    owned = borrowed.copy()
    del borrowed, pixels
    return owned


class Drawing(Painted, QWidget):
    """A drawing as wide as the sidebar; blank until it has something to show.

    Parameters
    ----------
    name, tip
        What it is called, and its tooltip.
    height
        Of the whole widget, pixels.
    """

    smooth = True

    def __init__(self, name: str, tip: str, parent: QWidget | None = None, height: int = HEIGHT) -> None:
        super().__init__(parent)
        self._height = height
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(name)
        self.setToolTip(tip)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the drawing's height."""
        return QSize(style.SIDEBAR_WIDTH, self._height)

    def _plan(self, places: Floats) -> Plan:
        """Fit places (n, 2) into the drawing."""
        return Plan(places, QRectF(0.0, 0.0, self.width(), HEIGHT).adjusted(8, 8, -8, -8))
