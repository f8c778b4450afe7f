"""Dimension lines and the scale bar, as on a drawing: thin, with ticks, the figure on the line."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.view_camera import Lens
from holdwright.gui.widgets import style
from holdwright.gui.widgets.number_format import Preferred
from holdwright.units import MILLIMETRES

AWAY: Final = 26.0
"""Pixels from what is measured to its line."""

SQUARE: Final = 0.97
"""Cosine to the line of sight from which an axis counts as seen from its end."""

NAMES: Final = ("wide", "high", "deep")
"""Along x, y and z."""

_TICK: Final = 4.0


@dataclass(frozen=True, eq=False)
class Dimension:
    """A line to be drawn."""

    places: Floats
    """(2, 3) both ends of what is measured, mm."""
    feet: Floats
    ends: Floats
    """feet and ends: (2, 2) pixels of these and of the line's own ends."""
    length: float
    """mm."""
    name: str
    """What it tells of the hold as it hangs."""


def paint_dimensions(
    painter: QPainter, extremes: Floats, text: Callable[[float], str], lens: Lens, tones: style.Colours
) -> list[QRectF]:
    """Draw overall width, height and depth, save along an axis seen from its end; give where figures stand.

    Parameters
    ----------
    extremes
        (3, 2, 3) least and greatest points of what is measured along x, y and z.
    text
        Writes a length in mm as people read it.
    """
    return [
        _draw(painter, dimension, f"{text(dimension.length)} {dimension.name}", tones)
        for dimension in dimensions_of(extremes, lens)
    ]


def corners_of(extremes: Floats) -> Floats:
    """Give the (8, 3) corners of the box round (3, 2, 3) extremes: number 4 * x + 2 * y + z."""
    low, high = (np.array([extremes[axis, end, axis] for axis in range(3)]) for end in (0, 1))
    corner = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)])
    return np.asarray(corner * (high - low) + low)


def dimensions_of(extremes: Floats, lens: Lens) -> list[Dimension]:
    """Choose for each axis the edge of the box that lies outermost in the picture: low, or to the left."""
    corners = corners_of(extremes)
    lengths_mm = np.ptp(corners, axis=0)
    toward = np.abs(lens.pose.frame[2])
    along = int(np.argmax(toward))
    if toward[along] > SQUARE:
        # Seen square on, the lines lie at the depth of the points that they measure.
        corners[:, along] = np.delete(extremes, along, axis=0)[..., along].mean()
    seen = lens.project(corners)
    if (seen[:, 2] <= 0).any():
        return []
    pixels = seen[:, :2]
    middle = pixels.mean(axis=0)
    found = []
    for axis, stride in ((0, 4), (1, 2), (2, 1)):
        if toward[axis] > SQUARE:
            continue
        starts = [number for number in range(8) if not number & stride]
        edges = np.array([[pixels[number], pixels[number | stride]] for number in starts])
        spans = edges[:, 1] - edges[:, 0]
        lengths = np.linalg.norm(spans, axis=1)
        across = np.stack([-spans[:, 1], spans[:, 0]], axis=1) / np.maximum(lengths, 1e-9)[:, None]
        outward = np.einsum("ij,ij->i", edges.mean(axis=1) - middle, across)
        across *= np.where(outward < 0, -1.0, 1.0)[:, None]
        # Upright lines go to the left, level ones below.
        preferred = across @ (np.array([-0.25, 1.0]) if axis != 1 else np.array([-1.0, 0.25]))
        best = int(np.argmax(np.abs(outward) + 0.5 * preferred * np.abs(outward)))
        # Seen too much from its end to be written.
        if lengths[best] < 36.0:
            continue
        away = across[best] * AWAY
        places = corners[[starts[best], starts[best] | stride]]
        found.append(Dimension(places, edges[best], edges[best] + away, float(lengths_mm[axis]), NAMES[axis]))
    return found


def paint_scale_bar(painter: QPainter, lens: Lens, tones: style.Colours, preferred: Preferred) -> None:
    """Draw a round length at the lower left, 60 to 150 pixels, true at the depth of what is looked at."""
    one, unit = (MILLIMETRES["inch"], "in") if preferred == "inch" else (1.0, "mm")
    unit_per_pixel = lens.mm_per_pixel(lens.pose.target) / one
    length = round_length(unit_per_pixel, 150.0)
    pixels = length / unit_per_pixel
    left, foot = 20.0, lens.size[1] - 20.0
    painter.setPen(QPen(QColor(tones.faint), 1.2))
    painter.drawLine(QPointF(left, foot), QPointF(left + pixels, foot))
    for share, rise in ((0.0, 2 * _TICK), (0.5, _TICK), (1.0, 2 * _TICK)):
        x = left + pixels * share
        painter.drawLine(QPointF(x, foot), QPointF(x, foot - rise))
    box = QRectF(left, foot - 28.0, pixels, 18.0)
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextDontClip, f"{length:g} {unit}")


def round_length(unit_per_pixel: float, longest: float) -> float:
    """Give the longest of 1, 2, 5, 10, 20 ... units that takes no more than so many pixels."""
    most = max(unit_per_pixel * longest, 1e-9)
    power = 10.0 ** np.floor(np.log10(most))
    return float(max(power * step for step in (1.0, 2.0, 5.0) if power * step <= most * (1 + 1e-9)))


def _draw(painter: QPainter, dimension: Dimension, text: str, tones: style.Colours) -> QRectF:
    start, stop = dimension.ends
    along = stop - start
    span = float(np.linalg.norm(along))
    unit = along / span
    across = (start - dimension.feet[0]) / max(float(np.linalg.norm(start - dimension.feet[0])), 1e-9)
    thin = QPen(QColor(tones.faint), 1.0)
    painter.setPen(thin)
    for foot, end in zip(dimension.feet, dimension.ends, strict=True):
        painter.drawLine(_at(foot + across * 5.0), _at(end + across * 5.0))
        slant = (unit + across) / np.sqrt(2.0) * _TICK
        painter.drawLine(_at(end - slant), _at(end + slant))
    metrics = QFontMetricsF(painter.font())
    gap = metrics.horizontalAdvance(text) / 2 + 6.0
    middle = (start + stop) / 2
    if 2 * gap < span:
        painter.drawLine(_at(start), _at(middle - unit * gap))
        painter.drawLine(_at(middle + unit * gap), _at(stop))
    else:
        painter.drawLine(_at(start), _at(stop))
        middle = middle + across * (metrics.height() * 0.8)
    turn = float(np.degrees(np.arctan2(unit[1], unit[0])))
    turn = turn - 180.0 if turn > 90.0 else turn + 180.0 if turn <= -90.0 else turn
    painter.save()
    painter.translate(_at(middle))
    painter.rotate(turn)
    box = QRectF(-gap, -metrics.height() / 2, 2 * gap, metrics.height())
    # What runs behind a figure, such as the rim of a section, stays legible round it.
    ground = QColor(style.mixed(tones.sky, tones.floor, 0.5))
    ground.setAlpha(190)
    painter.fillRect(box.adjusted(4.0, 1.0, -4.0, -1.0), ground)
    painter.setPen(QColor(tones.ink))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextDontClip, text)
    seen = painter.transform().mapRect(box)
    painter.restore()
    return seen


def _at(pixel: Floats) -> QPointF:
    return QPointF(float(pixel[0]), float(pixel[1]))
