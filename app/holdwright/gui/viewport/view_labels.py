"""All that is written over the view: scale bar, dimensions, colour scale, flags and words of tools."""

from dataclasses import dataclass
from functools import partial

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter

from holdwright.gui.viewport.colour_map import paint_colour_scale
from holdwright.gui.viewport.dimensions import paint_dimensions, paint_scale_bar
from holdwright.gui.viewport.label_layer import Room, write_on_paper
from holdwright.gui.viewport.markers import Flags
from holdwright.gui.viewport.overlay import Overlay
from holdwright.gui.viewport.view_camera import Lens
from holdwright.gui.viewport.view_scene import Scene
from holdwright.gui.widgets.number_format import Preferred, length_text


def figure_text(length: float, unit: Preferred) -> str:
    """Write a length in mm as on a drawing, where mm need not be said."""
    return length_text(length, unit).removesuffix(" mm")


@dataclass(frozen=True)
class ViewLabels:
    """Writes them for a view as it is now."""

    scene: Scene
    overlay: Overlay
    flags: Flags
    """scene, overlay and flags: what the words belong to."""
    lens: Lens
    unit: Preferred
    """lens and unit: where they stand, and what lengths are written in."""

    def paint(self, painter: QPainter, waiting_text: str, *, dimensions: bool) -> None:
        """Write them; words on what is waited for where nothing is shown yet."""
        scene, lens, tones, extremes = self.scene, self.lens, self.scene.look.tones, self.scene.extremes
        if not scene.parts and waiting_text:
            painter.setPen(QColor(tones.faint))
            painter.drawText(painter.window(), Qt.AlignmentFlag.AlignCenter, waiting_text)
        if scene.sized and scene.parts:
            paint_scale_bar(painter, lens, tones, self.unit)
        room = Room(*self.overlay.dots(lens), *self.flags.cloths(lens))
        if dimensions and extremes is not None:
            written = partial(figure_text, unit=self.unit)
            room.taken += paint_dimensions(painter, extremes, written, lens, tones)
        if scene.heat is not None:
            slip = paint_colour_scale(painter, scene.heat, lens, tones, self.unit)
            room.taken.append(slip)
        self.flags.paint(painter, lens, tones, self.unit, room)
        for label in self.overlay.labels.values():
            x, y, far = lens.project(np.array(label.place))[0]
            if far > 0:  # before the camera
                spot = QPointF(x + label.shift[0], y + label.shift[1])
                write_on_paper(painter, spot, label.text, tones, room)
