"""The view without its content: frames, camera, picking and the tool in use."""

from dataclasses import replace
from typing import Self

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QCloseEvent, QGuiApplication, QPainter
from PySide6.QtWidgets import QGridLayout, QWidget

from holdwright.gui.viewport.drawing_style import look
from holdwright.gui.viewport.event_filter import EventFilter
from holdwright.gui.viewport.frame_budget import FrameBudget
from holdwright.gui.viewport.label_layer import LabelLayer
from holdwright.gui.viewport.markers import Flags
from holdwright.gui.viewport.navigation import CameraAnimation, Navigation
from holdwright.gui.viewport.overlay import Overlay
from holdwright.gui.viewport.pane import Pane, RenderPane, can_draw
from holdwright.gui.viewport.picking import Pick
from holdwright.gui.viewport.projection import Projection
from holdwright.gui.viewport.surface_worker import SurfaceWorker
from holdwright.gui.viewport.tool import Tool
from holdwright.gui.viewport.view_camera import VIEWS, Lens, Pose
from holdwright.gui.viewport.view_labels import ViewLabels, figure_text
from holdwright.gui.viewport.view_scene import Scene
from holdwright.gui.widgets import style
from holdwright.gui.widgets.number_format import Preferred
from holdwright.hold.finding import Finding
from holdwright.pipeline.views.display_results import Surface
from holdwright.render.surface_mesh import SurfaceMesh


class Canvas(QWidget):
    """A view into the scene.

    Attributes
    ----------
    unit
        Lengths are written in it.
    animated
        Whether changes of view are shown as short moves.
    waiting_text
        What is written in the middle while nothing is shown.
    dimensions_shown
        Whether width, height and depth are written beside the hold.
    """

    marker_clicked = Signal(int)
    """The number of a marker."""
    tool_changed = Signal()
    """Another tool is in use, or none."""
    pointed = Signal(float, float)
    """The pointer moves over the view, no button held: x, y; -1 and -1 once it has left."""
    menu_requested = Signal(float, float)
    """A menu is to open at a place: x, y."""
    dismissed = Signal()
    """A click beside all flags, or Escape: what is shown on request may go."""
    scheme_changed = Signal()
    """It is drawn in other colours: by day or by night."""
    view_changed = Signal()
    """The camera has moved."""
    frame_drawn = Signal(bool)
    """What was requested is on screen; whether in full, or coarsely while the view moves."""

    def __init__(self, parent: QWidget | None = None, scheme: style.Scheme = "light") -> None:
        super().__init__(parent)
        self.setAccessibleName("The hold")
        self.unit: Preferred = "mm"
        self.animated = self.dimensions_shown = True
        self.waiting_text = ""
        self._first_frame = True
        self._budget = FrameBudget(self.redraw, self)
        self._animation = CameraAnimation(self.set_pose, self)
        self._surface_worker = SurfaceWorker(self)
        self._surface_worker.ready.connect(self._take_mesh)
        self.lacks_opengl = not can_draw()
        self._pane = Pane(self) if self.lacks_opengl else RenderPane(self._prepare, self._took, self)
        # It is this pane that has the keyboard and is read aloud, not the view round it.
        self._pane.widget.setAccessibleName(self.accessibleName())
        self.scene = Scene(self._pane.renderer, look(scheme, self._pane.pixel))
        self.overlay = Overlay(self._pane.renderer, self._overlaid, self._pane.pixel)
        self._projection = Projection(self.scene, self, lambda: self.overlay.points)
        self._flags = Flags(
            self._projection.hides, self.scene.shown_at, self.overlay.dots, lambda: self.scene.section
        )
        self._label_layer = LabelLayer(self._paint_labels, lambda: self.tones, self)
        self._event_filter = EventFilter(
            self._projection,
            Navigation(self._projection, self._steer),
            self._flags,
            self._label_layer,
            self._pane.widget,
        )
        self._event_filter.flag_clicked.connect(self.marker_clicked)
        self._event_filter.pointed.connect(self.pointed)
        self._event_filter.menu_requested.connect(self.menu_requested)
        self._event_filter.dismissed.connect(self.dismissed)
        self._event_filter.centred.connect(self._centre)
        self._event_filter.held_changed.connect(self._budget.hold)
        self._event_filter.escaped.connect(lambda: self.set_tool(None))
        self._event_filter.fit_requested.connect(self.fit)
        layout = QGridLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        for one_over_the_other in (self._pane.widget, self._label_layer):
            layout.addWidget(one_over_the_other, 0, 0)
        self._label_layer.raise_()
        if self.lacks_opengl:  # nobody should take hold of what is not seen
            self._event_filter.stop()
            self._label_layer.hide()
        # In less a hold cannot be worked on.
        self.setMinimumSize(320, 240)
        self.setFocusProxy(self._pane.widget)

    # Camera

    @property
    def pose(self) -> Pose:
        """From where the hold is looked at."""
        return self._projection.pose

    @property
    def heading(self) -> Pose:
        """From where it is looked at once a move under way is over."""
        return self._animation.target or self.pose

    @property
    def lens(self) -> Lens:
        """Between points in mm and pixels, as things are now."""
        return self._projection.lens

    def set_pose(self, pose: Pose) -> None:
        """Look from a pose, at once."""
        self._projection.pose = pose
        self.redraw(moving=True)
        self.view_changed.emit()

    def set_view(self, name: str) -> None:
        """Look from "front", "back", "left", "right", "top", "bottom" or "three_quarter", all in view.

        Raises
        ------
        KeyError
            When there is no such view.
        """
        azimuth, elevation = VIEWS[name]
        self._move_to(self._fitted(replace(self.pose, azimuth=azimuth, elevation=elevation)))

    def _move_to(self, pose: Pose) -> None:
        """Look from a pose, in a short move where it is animated."""
        if self.animated and self.isVisible() and self._pane.is_open and self.pose.is_near(pose):
            self._animation.go(self.pose, pose)
        else:
            self._animation.stop()
            self.set_pose(pose)

    def fit(self) -> None:
        """Bring all that is shown into view, from where it is looked at."""
        self._move_to(self._fitted(self.heading))

    def pick(self, x: float, y: float) -> Pick | None:
        """Give what lies under a pixel, counted from the upper left corner, or None."""
        return self._projection.pick(x, y)

    def finding_at(self, x: float, y: float) -> Finding | None:
        """Give the finding whose flag is under a pixel, or None."""
        number = self._flags.at(x, y, self.lens)
        return self._flags.markers[number] if number >= 0 else None

    def length_text(self, length: float) -> str:
        """Write a length in mm as on a drawing, where mm need not be said."""
        return figure_text(length, self.unit)

    def set_unit(self, unit: Preferred) -> None:
        """Write lengths in another unit."""
        self.unit = unit
        self._refresh_tools()
        self._label_layer.update()

    # Tools and frames

    @property
    def tool(self) -> Tool[Self] | None:
        """The tool in use."""
        return self._event_filter.tool

    @property
    def fixture(self) -> Tool[Self] | None:
        """A tool that stays whatever is in use, and is reached before it."""
        return self._event_filter.fixture

    @property
    def tones(self) -> style.Colours:
        """The colours of the scheme the view is drawn in."""
        return self.scene.look.tones

    def set_tool(self, tool: Tool[Self] | None) -> None:
        """Take a tool in use, or put down the one there is."""
        before = self.tool
        if tool is before:
            return
        if before is not None:
            before.finish()
        self._event_filter.set_tool(tool)
        if tool is not None:
            tool.start(self)
            self._show_handles()
        self.tool_changed.emit()

    def set_fixture(self, tool: Tool[Self]) -> None:
        """Put up a tool that stays."""
        self._event_filter.fixture = tool
        tool.start(self)

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
        if self.fixture is not None:
            self.fixture.finish()
            self._event_filter.fixture = None
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

    @property
    def _no_button_held(self) -> bool:
        """Whether nothing is being dragged, which a move of the camera would be torn away from."""
        return QGuiApplication.mouseButtons() == Qt.MouseButton.NoButton

    def _show_handles(self) -> None:
        """Bring handles into view that lie beyond it while all of the hold is in it; never in a drag."""
        seen = self._projection
        if self._no_button_held and seen.sees_all and not seen.sees(self.overlay.points):
            self.fit()

    def _refresh_tools(self) -> None:
        for tool in (self.tool, self.fixture):
            if tool is not None:
                tool.refresh()

    def _prepare(self) -> None:
        pixel, resting = self._pane.pixel, not self._budget.moving
        if pixel != self.overlay.pixel:  # the window has moved to a screen of another density
            self.overlay.pixel = pixel
            self.scene.set_style(replace(self.scene.look, pixel=pixel))
        coarse = self._budget.coarse(self.scene.triangles(coarse=False), self.scene.triangles(coarse=True))
        self._first_frame = self.scene.draw(coarse=coarse, hurried=not (resting or self._budget.quick))
        self.scene.aim(self.pose)
        self._pane.smooth(edges=resting, samples=resting and self._budget.quick)
        for part in self.scene.visible:
            for surface in part.unprepared:
                self._surface_worker.request(surface)

    def _took(self, seconds: float) -> None:
        if not self._first_frame:  # what is drawn for the first time takes longer than it will again
            self._budget.took(self.scene.drawn_triangles, seconds)
        self.frame_drawn.emit(not self._budget.moving)

    def _take_mesh(self, surface: Surface, made: SurfaceMesh) -> None:
        for part in self.scene.parts.values():
            if part.set_mesh(surface, made):
                self.redraw()

    def _overlaid(self, scene_too: bool) -> None:
        if scene_too:
            self.redraw(moving=True)
        else:
            self._label_layer.update()

    def _paint_labels(self, painter: QPainter) -> None:
        labels = ViewLabels(self.scene, self.overlay, self._flags, self.lens, self.unit)
        labels.paint(painter, self.waiting_text, dimensions=self.dimensions_shown)

    def _steer(self, pose: Pose) -> None:
        self._animation.stop()
        self._label_layer.stop()
        self.set_pose(pose)

    def _fitted(self, pose: Pose) -> Pose:
        return self._projection.fitted(pose, figures=self.dimensions_shown)

    def _centre(self, x: float, y: float) -> None:
        place = self._projection.point_under(x, y)
        if place is not None:
            self._move_to(replace(self.pose, target=place))
