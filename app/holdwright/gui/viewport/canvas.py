"""The view without its content: frames, camera, picking and the tool in hand."""

from collections.abc import Callable
from functools import partial
from typing import Final, Self

import numpy as np
from PySide6.QtCore import Signal
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QGridLayout, QWidget

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.camera_animation import CameraAnimation
from holdwright.gui.viewport.colour_scale import ColourScale
from holdwright.gui.viewport.dimensions import Dimensions, ScaleBar
from holdwright.gui.viewport.drawing_style import look
from holdwright.gui.viewport.event_filter import EventFilter
from holdwright.gui.viewport.frame_budget import FrameBudget
from holdwright.gui.viewport.label_layer import LabelLayer, OverlayLabels
from holdwright.gui.viewport.markers import Flags
from holdwright.gui.viewport.navigation import Navigation
from holdwright.gui.viewport.no_opengl import NoOpenGL, can_draw
from holdwright.gui.viewport.overlay import Overlay
from holdwright.gui.viewport.picking import Pick
from holdwright.gui.viewport.projection import Projection
from holdwright.gui.viewport.render_widget import RenderWidget
from holdwright.gui.viewport.surface_mesh import SurfaceMesh
from holdwright.gui.viewport.surface_worker import SurfaceWorker
from holdwright.gui.viewport.tool import Tool
from holdwright.gui.viewport.view_camera import FIRST, VIEWS, Lens, Pose
from holdwright.gui.viewport.view_scene import Scene
from holdwright.gui.widgets import style
from holdwright.gui.widgets.number_format import Preferred
from holdwright.pipeline.display_results import Surface
from holdwright.units import MILLIMETRES

LEAST: Final = (320, 240)
"""Pixels below which a hold cannot be worked on."""


def drawn_length(unit: Preferred, length: float) -> str:
    """Write a length in mm as on a drawing, where mm need not be said."""
    if unit == "inch":
        return f"{length / MILLIMETRES['inch']:.2f} in"
    return f"{length:.1f}" if length < 1000 else f"{length:.0f}"


class Canvas(QWidget):
    """A view into the scene.

    Signals
    -------
    marker_clicked
        The number of a marker.
    tool_changed
        Another tool is in hand, or none.
    view_changed
        The camera has moved.
    frame_drawn
        What was asked for is on screen; whether in full, or coarsely while the view moves.
    """

    marker_clicked = Signal(int)
    tool_changed = Signal()
    view_changed = Signal()
    frame_drawn = Signal(bool)

    def __init__(self, parent: QWidget | None = None, scheme: style.Scheme = "light") -> None:
        super().__init__(parent)
        self.setAccessibleName("The hold")
        self._unit: Preferred = "mm"
        self.length_text: Callable[[float], str] = partial(drawn_length, "mm")
        self._pose = FIRST
        self._tool: Tool[Self] | None = None
        self._fixture: Tool[Self] | None = None
        self._first_frame = True
        self._budget = FrameBudget(self._redraw_at_rest, self)
        self._animation = CameraAnimation(self.set_pose, self)
        self._surface_worker = SurfaceWorker(self)
        self._surface_worker.ready.connect(self._take_mesh)
        self.lacks_opengl = not can_draw()
        self._pane = NoOpenGL(self) if self.lacks_opengl else RenderWidget(self._prepare, self._took, self)
        # It is this pane that has the keyboard and is read aloud, not the view round it.
        self._pane.widget.setAccessibleName(self.accessibleName())
        self.scene = Scene(self._pane.renderer, look(scheme), self._pane.pixel)
        self._projection = Projection(self.scene)
        self.overlay = Overlay(self._pane.renderer, self._overlaid, self._pane.pixel)
        self._flags = Flags(lambda place: self._projection.hides(place, self._pose), lambda: self._unit)
        self._dimensions = Dimensions(lambda: self.scene.extremes, lambda length: self.length_text(length))
        self._scale_bar = ScaleBar(lambda: self.scene.sized and bool(self.scene.parts), lambda: self._unit)
        marks = (
            self._scale_bar,
            self._dimensions,
            ColourScale(lambda: self.scene.heat, lambda: self._unit),
            self._flags,
            OverlayLabels(lambda: self.overlay.labels.values()),
        )
        self._label_layer = LabelLayer(lambda: self.lens, style.colours(scheme), marks, self)
        self._navigation = Navigation(self, self._steer)
        self._event_filter = EventFilter(self, self._navigation, self._flags, self._pane.widget)
        self._listen()
        layout = QGridLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        for one_over_the_other in (self._pane.widget, self._label_layer):
            layout.addWidget(one_over_the_other, 0, 0)
        self._label_layer.raise_()
        if self.lacks_opengl:  # nobody should take hold of what is not seen
            self._event_filter.stop()
            self._label_layer.hide()
        self.setMinimumSize(*LEAST)
        self.setFocusProxy(self._pane.widget)

    # Camera

    @property
    def pose(self) -> Pose:
        """From where the hold is looked at."""
        return self._pose

    @property
    def lens(self) -> Lens:
        """Between points in mm and pixels, as things are now."""
        return Lens(self._pose, (max(self.width(), 1), max(self.height(), 1)))

    @property
    def size_mm(self) -> float:
        """Extent of what is shown."""
        return self._projection.size

    def _is_animated(self) -> bool:
        return self._animation.animated

    def _animate(self, animated: bool) -> None:
        self._animation.animated = animated

    animated = property(_is_animated, _animate, doc="Whether changes of view are shown as short moves.")

    def set_view(self, name: str) -> None:
        """Look from "front", "back", "left", "right", "top", "bottom" or "three_quarter", all in view.

        Raises
        ------
        KeyError
            When there is no such view.
        """
        azimuth, elevation = VIEWS[name]
        self._move_to(self._fitted(Pose(self._pose.target, azimuth, elevation, self._pose.distance)))

    def fit(self) -> None:
        """Bring all that is shown into view, from where it is looked at."""
        self._move_to(self._fitted(self._animation.end() or self._pose))

    def focus_on(self, place: Floats | tuple[float, float, float]) -> None:
        """Turn the view so that a place is seen, at the middle and from outside."""
        spot = np.asarray(place, dtype=np.float64)
        self._move_to(self._projection.focused(spot, self._pose, self.lens.size))

    # Picking, in device-independent pixels from the upper left corner

    def pick(self, x: float, y: float) -> Pick | None:
        """Give what lies under a pixel, or None."""
        return self._projection.pick(self.lens, x, y)

    def ray(self, x: float, y: float) -> tuple[Floats, Floats]:
        """Give the line of sight through a pixel: start and unit direction, (3,) each."""
        return self.lens.ray(x, y)

    def project(self, place: Floats | tuple[float, float, float]) -> tuple[float, float]:
        """Give the pixel at which a place is seen."""
        x, y, _ = self.lens.project(np.asarray(place, dtype=np.float64))[0]
        return float(x), float(y)

    def met(self, x: float, y: float) -> Floats | None:
        """Give the point under a pixel as it is shown, about; None beside the hold."""
        return self._projection.met(self.lens, x, y)

    def _unit_of_lengths(self) -> Preferred:
        return self._unit

    def _write_in(self, unit: Preferred) -> None:
        self._unit = unit
        self.length_text = partial(drawn_length, unit)
        self._refresh_tools()
        self._label_layer.update()

    unit = property(_unit_of_lengths, _write_in, doc="Unit that lengths are written in.")

    # Tools and frames

    @property
    def tool(self) -> Tool[Self] | None:
        """The tool in hand."""
        return self._tool

    @property
    def tones(self) -> style.Colours:
        """The colours of the scheme the view is drawn in."""
        return self._label_layer.tones

    def set_tool(self, tool: Tool[Self] | None) -> None:
        """Take a tool in hand, or put down the one there is."""
        if tool is self._tool:
            return
        if self._tool is not None:
            self._event_filter.drop_tool()
            self._tool.finish()
        self._tool = tool
        if tool is not None:
            tool.start(self)
        self.tool_changed.emit()

    def _fixed_tool(self) -> Tool[Self] | None:
        return self._fixture

    def _fix(self, tool: Tool[Self]) -> None:
        self._fixture = tool
        tool.start(self)

    fixture = property(
        _fixed_tool, _fix, doc="A tool that stays whatever is in hand, and is met before it; None at first."
    )

    def redraw(self, *, moving: bool = False) -> None:
        """Have a frame drawn; `moving` while more will follow at once, so that it may be a quick one."""
        if moving:
            self._budget.note_motion()
        self._pane.redraw()
        self._label_layer.update()

    def close_view(self) -> None:
        """Give everything back; to be called before the window goes."""
        if not self._pane.is_open:
            return
        self.set_tool(None)
        if self._fixture is not None:
            self._fixture.finish()
            self._fixture = None
        self._event_filter.stop()
        self._animation.stop()
        self._label_layer.stop()
        self._budget.stop()
        self._surface_worker.close()
        self._pane.close()

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802
        """Close the view with its widget."""
        self.close_view()
        super().closeEvent(event)

    def _fade(self) -> None:
        """Let what is on screen now fade out over what comes, where the machine is quick enough for that."""
        if self.animated and self.isVisible() and self._budget.quick and not self._budget.moving:
            self._label_layer.fade(self._pane.picture())

    def _refresh_tools(self) -> None:
        for tool in (self._tool, self._fixture):
            if tool is not None:
                tool.refresh()

    def _listen(self) -> None:
        self._event_filter.flag_clicked.connect(self.marker_clicked)
        self._event_filter.flag_hovered.connect(self._hover_flag)
        self._event_filter.centred.connect(self._centre)
        self._event_filter.held_changed.connect(self._hold)
        self._event_filter.escaped.connect(lambda: self.set_tool(None))
        self._event_filter.fit_asked.connect(self.fit)
        self._event_filter.focus_shown.connect(self._label_layer.show_focus)

    def _prepare(self) -> None:
        if self._pane.pixel != self.overlay.pixel:  # the window has moved to a screen of another density
            self.overlay.pixel = self._pane.pixel
            self.scene.rescale(self._pane.pixel)
        coarse = self._budget.coarse(self.scene.triangles(coarse=False), self.scene.triangles(coarse=True))
        hurried = self._budget.moving and not self._budget.quick
        self._first_frame = self.scene.draw(coarse=coarse, hurried=hurried)
        self.scene.aim(self._pose)
        self._pane.smooth(
            edges=not self._budget.moving,
            samples=self._budget.quick and not self._budget.moving,
        )
        for part in self.scene.visible:
            for surface in part.unprepared:
                self._surface_worker.ask(surface)

    def _took(self, seconds: float) -> None:
        if not self._first_frame:  # what is drawn for the first time takes longer than it will again
            self._budget.took(self.scene.drawn_triangles, seconds)
        self.frame_drawn.emit(not self._budget.moving)

    def _take_mesh(self, surface: Surface, made: SurfaceMesh) -> None:
        for part in self.scene.parts.values():
            if part.set_mesh(surface, made):
                self.redraw()

    def _redraw_at_rest(self) -> None:
        self.redraw()

    def _overlaid(self, scene_too: bool) -> None:
        if scene_too:
            self.redraw(moving=True)
        else:
            self._label_layer.update()

    def _steer(self, pose: Pose) -> None:
        self._animation.stop()
        self._label_layer.stop()
        self.set_pose(pose)

    def set_pose(self, pose: Pose) -> None:
        """Look from a pose, at once."""
        self._pose = pose
        self.redraw(moving=True)
        self.view_changed.emit()

    def _move_to(self, pose: Pose) -> None:
        self._animation.go(self._pose, pose, animated=self.isVisible() and self._pane.is_open)

    def _fitted(self, pose: Pose) -> Pose:
        return self._projection.fitted(pose, self.lens.size, figures=self._dimensions.shown)

    def _centre(self, x: float, y: float) -> None:
        place = self.met(x, y)
        if place is not None:
            self._move_to(Pose(place, self._pose.azimuth, self._pose.elevation, self._pose.distance))

    def _hold(self, held: bool) -> None:
        self._budget.held = held
        if not held:
            self._budget.note_motion()

    def _hover_flag(self, number: int) -> None:
        self._flags.hovered = number
        self._label_layer.update()
