"""The view without its content: frames, camera, picking and the tool in hand."""

from collections.abc import Callable
from functools import partial
from typing import Final, Self

import numpy as np
from PySide6.QtCore import Signal
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QGridLayout, QWidget

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.camera import FIRST, VIEWS, Lens, Pose
from holdwright.gui.viewport.camera_animation import Flight
from holdwright.gui.viewport.colour_scale import HeatScale
from holdwright.gui.viewport.dimensions import Dimensions, ScaleBar
from holdwright.gui.viewport.drawing_style import look
from holdwright.gui.viewport.event_filter import Hands
from holdwright.gui.viewport.frame_budget import Pace
from holdwright.gui.viewport.label_layer import Labels, Sheet
from holdwright.gui.viewport.markers import Flags
from holdwright.gui.viewport.navigation import Navigation
from holdwright.gui.viewport.no_opengl import Blind, can_draw
from holdwright.gui.viewport.overlay import Overlay
from holdwright.gui.viewport.picking import Pick
from holdwright.gui.viewport.projection import Sight
from holdwright.gui.viewport.render_widget import Glass
from holdwright.gui.viewport.scene import Scene
from holdwright.gui.viewport.surface_mesh import Skin
from holdwright.gui.viewport.surface_worker import Dresser
from holdwright.gui.viewport.tool import Tool
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
        self._fresh = True
        self._pace = Pace(self._settled, self)
        self._flight = Flight(self.look_from, self)
        self._dresser = Dresser(self)
        self._dresser.ready.connect(self._dressed)
        self.is_blind = not can_draw()
        self._glass = Blind(self) if self.is_blind else Glass(self._prepare, self._took, self)
        # It is this pane that has the keyboard and is read aloud, not the view round it.
        self._glass.widget.setAccessibleName(self.accessibleName())
        self.scene = Scene(self._glass.renderer, look(scheme), self._glass.pixel)
        self._sight = Sight(self.scene)
        self.overlay = Overlay(self._glass.renderer, self._overlaid, self._glass.pixel)
        self._flags = Flags(lambda place: self._sight.hides(place, self._pose), lambda: self._unit)
        self._dimensions = Dimensions(lambda: self.scene.extremes, lambda length: self.length_text(length))
        self._scale_bar = ScaleBar(lambda: self.scene.sized and bool(self.scene.parts), lambda: self._unit)
        marks = (
            self._scale_bar,
            self._dimensions,
            HeatScale(lambda: self.scene.heat, lambda: self._unit),
            self._flags,
            Labels(lambda: self.overlay.labels.values()),
        )
        self._sheet = Sheet(lambda: self.lens, style.colours(scheme), marks, self)
        self._navigation = Navigation(self, self._steer)
        self._hands = Hands(self, self._navigation, self._flags, self._glass.widget)
        self._listen()
        layout = QGridLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        for one_over_the_other in (self._glass.widget, self._sheet):
            layout.addWidget(one_over_the_other, 0, 0)
        self._sheet.raise_()
        if self.is_blind:  # nobody should take hold of what is not seen
            self._hands.stop()
            self._sheet.hide()
        self.setMinimumSize(*LEAST)
        self.setFocusProxy(self._glass.widget)

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
        return self._sight.size

    def _is_animated(self) -> bool:
        return self._flight.animated

    def _animate(self, animated: bool) -> None:
        self._flight.animated = animated

    animated = property(_is_animated, _animate, doc="Whether changes of view are shown as short moves.")

    def set_view(self, name: str) -> None:
        """Look from "front", "back", "left", "right", "top", "bottom" or "three_quarter", all in view.

        Raises
        ------
        KeyError
            When there is no such view.
        """
        azimuth, elevation = VIEWS[name]
        self._fly(self._fitted(Pose(self._pose.target, azimuth, elevation, self._pose.distance)))

    def fit(self) -> None:
        """Bring all that is shown into view, from where it is looked at."""
        self._fly(self._fitted(self._flight.end() or self._pose))

    def focus_on(self, place: Floats | tuple[float, float, float]) -> None:
        """Turn the view so that a place is seen, at the middle and from outside."""
        spot = np.asarray(place, dtype=np.float64)
        self._fly(self._sight.focused(spot, self._pose, self.lens.size))

    # Picking, in device-independent pixels from the upper left corner

    def pick(self, x: float, y: float) -> Pick | None:
        """Give what lies under a pixel, or None."""
        return self._sight.pick(self.lens, x, y)

    def ray(self, x: float, y: float) -> tuple[Floats, Floats]:
        """Give the line of sight through a pixel: start and unit direction, (3,) each."""
        return self.lens.ray(x, y)

    def project(self, place: Floats | tuple[float, float, float]) -> tuple[float, float]:
        """Give the pixel at which a place is seen."""
        x, y, _ = self.lens.project(np.asarray(place, dtype=np.float64))[0]
        return float(x), float(y)

    def met(self, x: float, y: float) -> Floats | None:
        """Give the point under a pixel as it is shown, about; None beside the hold."""
        return self._sight.met(self.lens, x, y)

    def _unit_of_lengths(self) -> Preferred:
        return self._unit

    def _write_in(self, unit: Preferred) -> None:
        self._unit = unit
        self.length_text = partial(drawn_length, unit)
        self._refresh_tools()
        self._sheet.update()

    unit = property(_unit_of_lengths, _write_in, doc="Unit that lengths are written in.")

    # Tools and frames

    @property
    def tool(self) -> Tool[Self] | None:
        """The tool in hand."""
        return self._tool

    @property
    def tones(self) -> style.Colours:
        """The colours of the scheme the view is drawn in."""
        return self._sheet.tones

    def set_tool(self, tool: Tool[Self] | None) -> None:
        """Take a tool in hand, or put down the one there is."""
        if tool is self._tool:
            return
        if self._tool is not None:
            self._hands.drop_tool()
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
            self._pace.stir()
        self._glass.redraw()
        self._sheet.update()

    def close_view(self) -> None:
        """Give everything back; to be called before the window goes."""
        if not self._glass.is_open:
            return
        self.set_tool(None)
        if self._fixture is not None:
            self._fixture.finish()
            self._fixture = None
        self._hands.stop()
        self._flight.stop()
        self._sheet.stop()
        self._pace.stop()
        self._dresser.close()
        self._glass.close()

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802
        """Close the view with its widget."""
        self.close_view()
        super().closeEvent(event)

    def _fade(self) -> None:
        """Let what is on screen now fade out over what comes, where the machine is quick enough for that."""
        if self.animated and self.isVisible() and self._pace.quick and not self._pace.moving:
            self._sheet.fade(self._glass.picture())

    def _refresh_tools(self) -> None:
        for tool in (self._tool, self._fixture):
            if tool is not None:
                tool.refresh()

    def _listen(self) -> None:
        self._hands.flag_clicked.connect(self.marker_clicked)
        self._hands.flag_hovered.connect(self._hover_flag)
        self._hands.centred.connect(self._centre)
        self._hands.held_changed.connect(self._hold)
        self._hands.escaped.connect(lambda: self.set_tool(None))
        self._hands.fit_asked.connect(self.fit)
        self._hands.focus_shown.connect(self._sheet.show_focus)

    def _prepare(self) -> None:
        if self._glass.pixel != self.overlay.pixel:  # the window has moved to a screen of another density
            self.overlay.pixel = self._glass.pixel
            self.scene.rescale(self._glass.pixel)
        coarse = self._pace.coarse(self.scene.triangles(coarse=False), self.scene.triangles(coarse=True))
        hurried = self._pace.moving and not self._pace.quick
        self._fresh = self.scene.draw(coarse=coarse, hurried=hurried)
        self.scene.aim(self._pose)
        self._glass.smooth(edges=not self._pace.moving, samples=self._pace.quick and not self._pace.moving)
        for part in self.scene.visible:
            for surface in part.undressed:
                self._dresser.ask(surface)

    def _took(self, seconds: float) -> None:
        if not self._fresh:  # what is drawn for the first time takes longer than it will again
            self._pace.took(self.scene.drawn_triangles, seconds)
        self.frame_drawn.emit(not self._pace.moving)

    def _dressed(self, surface: Surface, made: Skin) -> None:
        for part in self.scene.parts.values():
            if part.dress(surface, made):
                self.redraw()

    def _settled(self) -> None:
        self.redraw()

    def _overlaid(self, scene_too: bool) -> None:
        if scene_too:
            self.redraw(moving=True)
        else:
            self._sheet.update()

    def _steer(self, pose: Pose) -> None:
        self._flight.stop()
        self._sheet.stop()
        self.look_from(pose)

    def look_from(self, pose: Pose) -> None:
        """Look from a pose, at once."""
        self._pose = pose
        self.redraw(moving=True)
        self.view_changed.emit()

    def _fly(self, pose: Pose) -> None:
        self._flight.go(self._pose, pose, animated=self.isVisible() and self._glass.is_open)

    def _fitted(self, pose: Pose) -> Pose:
        return self._sight.fitted(pose, self.lens.size, figures=self._dimensions.shown)

    def _centre(self, x: float, y: float) -> None:
        place = self.met(x, y)
        if place is not None:
            self._fly(Pose(place, self._pose.azimuth, self._pose.elevation, self._pose.distance))

    def _hold(self, held: bool) -> None:
        self._pace.held = held
        if not held:
            self._pace.stir()

    def _hover_flag(self, number: int) -> None:
        self._flags.hovered = number
        self._sheet.update()
