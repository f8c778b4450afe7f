"""The view with a hand on it."""

import matplotlib as mpl
import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtGui import QColor, QFocusEvent
from PySide6.QtWidgets import QApplication

from gui.viewport.hand import LEFT, click, colour_of, difference, drag, glass, pixel_of
from holdwright.gui.viewport.measuring import MeasureTool
from holdwright.gui.viewport.tool import Tool
from holdwright.gui.widgets import style
from holdwright.hold.finding import Finding
from holdwright.pipeline.views.display_results import ShownSculpt
from holdwright.render.colour_scale import colour_at


class Grabbing(Tool):
    """A tool that takes every drag and keeps a record."""

    def __init__(self):
        self.heard = []

    def start(self, viewport):
        super().start(viewport)
        self.heard.append("start")

    def finish(self):
        self.heard.append("finish")

    def press(self, event):
        self.heard.append(("press", round(event.x), event.pick() is not None))
        return True

    def move(self, _event):
        self.heard.append("move")
        return True

    def release(self, _event):
        self.heard.append("release")
        return True


# What is seen


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_hold_stands_out_from_the_ground(view, settle, ball, scheme):
    view.dimensions_shown = False
    view.set_scheme(scheme)
    view.show_solids({"whole": ball}, keep_camera=False)
    settle()
    x, y = pixel_of(view, (0, 0, 50))
    ground, stone = colour_of(view, 3, 3), colour_of(view, x, y)
    assert difference(ground, QColor(style.colours(scheme).sky)) < 12
    assert difference(ground, stone) > 40


def test_parts_can_be_seen_alone_and_apart(view, settle, parts):
    view.show_solids(parts, keep_camera=False)
    view.set_view("front")
    on_core, on_shell = pixel_of(view, (0, 0, 20)), pixel_of(view, (30, 0, 20))
    assert [view.pick(*spot).part for spot in (on_core, on_shell)] == ["core", "shell"]
    view.set_parts("shell")
    settle()
    assert view.pick(*on_core) is None
    view.set_parts("core")
    assert view.pick(*on_shell) is None
    view.set_parts("both")
    view.set_apart(1.0)
    view.set_view("right")
    settle()
    assert view.pick(*pixel_of(view, (10, 0, 10))).part == "core"
    assert view.pick(*pixel_of(view, (40, 0, 10 + 23))).part == "shell"


def test_a_swap_keeps_the_camera_where_it_is(view, settle, box, ball):
    view.show_solids({"whole": box}, keep_camera=False)
    view.set_pose(view.pose.turned(13, 5))
    before = view.pose
    view.show_solids({"whole": ball})
    settle()
    assert view.pose is before


def test_a_raw_sculpt_shows_its_pieces_and_no_figures(view, settle, box, ball):
    pieces = (("ground", box.surface), ("head", ball.surface))
    view.show_sculpt(ShownSculpt(pieces, "digest", ()), "front")
    view.set_view("front")
    settle()
    assert view.pick(*pixel_of(view, (0, 0, 50))).part == "head"
    assert view.scene.extremes is None


def test_a_section_shows_the_area_that_it_cuts(view, settle, parts, box, cap_area):
    view.show_solids({"whole": box}, keep_camera=False)
    view.set_section((10, 0, 0), (2, 0, 0))
    settle()
    assert cap_area(view.scene.parts["whole"].cap.face) == pytest.approx(80 * 40, rel=1e-5)
    view.show_solids(parts)
    view.set_apart(1.0)
    view.set_section((0, 0, 10), (0, 0, 1))
    view.set_apart(0.0)
    settle()
    areas = {name: cap_area(part.cap.face) for name, part in view.scene.parts.items()}
    assert areas == pytest.approx({"shell": np.pi * (40**2 - 20**2), "core": 400}, rel=2e-3)
    view.clear_section()
    settle()
    assert view.section is None
    assert not any(part.cap.actor.GetVisibility() for part in view.scene.parts.values())


def test_values_are_shown_in_their_colours(view, settle, box):
    heights = box.surface.vertices[:, 2]
    view.dimensions_shown = False
    view.show_solids({"whole": box}, keep_camera=False)
    view.set_colour_map(heights, 0.0, 40.0, 6.0, "Height")
    view.set_view("front")
    settle()
    assert view.scene.parts["whole"].limit.actor.GetVisibility()
    yellow = colour_of(view, *pixel_of(view, (10, 10, 40)))
    assert yellow.red() > 1.8 * yellow.blue()
    view.set_colour_map(heights[:-1], 0.0, 40.0, 6.0, "Height")
    assert view.scene.heat is None
    view.clear_colour_map()
    settle()
    assert difference(colour_of(view, *pixel_of(view, (10, 10, 40))), yellow) > 20
    assert not view.scene.parts["whole"].limit.actor.GetVisibility()


def test_the_scale_is_cividis():
    """Against matplotlib's table of Nunez, Anderton and Renslow (2018)."""
    table = mpl.colormaps["cividis"]
    for share in np.linspace(0, 1, 41):
        assert colour_at(share) == pytest.approx(np.array(table(share)[:3]) * 255, abs=6)


def test_a_tool_hears_first_and_escape_puts_it_down(qtbot, view, box):
    view.show_solids({"whole": box}, keep_camera=False)
    view.set_view("front")
    before, tool = view.pose, Grabbing()
    view.set_tool(tool)
    drag(qtbot, view, (240, 180), (260, 180))
    assert view.pose is before
    assert tool.heard == ["start", ("press", 240, True), "move", "move", "release"]
    with qtbot.waitSignal(view.tool_changed):
        qtbot.keyClick(glass(view), Qt.Key.Key_Escape)
    assert view.tool is None
    assert tool.heard[-1] == "finish"


def test_measuring_a_box(qtbot, view, box):
    changes = []
    tool = MeasureTool(lambda: changes.append(len(tool.places)))
    view.show_solids({"whole": box}, keep_camera=False)
    view.set_view("front")
    view.set_tool(tool)
    for place in ((-30, -20, 40), (30, -20, 40), (30, 25, 40)):
        click(qtbot, view, place)
    assert tool.distances == pytest.approx([60, 45], abs=0.5)
    assert tool.angle == pytest.approx(90, abs=1)
    assert changes == [1, 2, 3]
    assert "measure.angle" in view.overlay.labels
    before = view.pose
    drag(qtbot, view, (240, 180), (280, 180))
    assert view.pose is not before
    assert len(tool.places) == 3
    qtbot.keyClick(glass(view), Qt.Key.Key_Backspace)
    assert len(tool.places) == 2
    view.set_tool(None)
    assert not view.overlay.names


def test_a_flag_is_clicked_and_tells_its_sentence(qtbot, view, settle, box):
    view.show_solids({"whole": box}, keep_camera=False)
    view.set_view("front")
    markers = [
        Finding("hidden", "note", "hidden", where=(0.0, 0.0, 0.0)),
        Finding("thin", "warning", "thin wall", where=(20.0, 10.0, 40.0)),
    ]
    view.show_markers(markers)
    settle()
    x, y = pixel_of(view, markers[1].where)
    before, plain = view.pose, view.grab().toImage()
    spot = QPoint(round(x) + 8, round(y) - 22)
    with qtbot.waitSignal(view.marker_clicked) as clicked:
        qtbot.mouseClick(glass(view), LEFT, Qt.KeyboardModifier.NoModifier, spot)
    assert clicked.args == [1]
    assert view.pose is before
    qtbot.mouseMove(glass(view), QPoint(5, 5))
    qtbot.mouseMove(glass(view), spot)
    qtbot.waitUntil(lambda: view.grab().toImage() != plain)
    view.focus_on(markers[0].where)
    assert pixel_of(view, markers[0].where) == pytest.approx((240, 180), abs=0.5)
    assert view.pose.frame[2] @ [0, 0, -1] > 0.5


def test_a_swap_fades_where_the_machine_is_quick(qtbot, view, settle, box, ball):
    view.show_solids({"whole": box}, keep_camera=False)
    settle()
    view.animated = True
    view._budget._seen = {True: (12, 0.001), False: (12, 0.001)}
    view.show_solids({"whole": ball})
    assert view._label_layer._before is not None
    qtbot.waitUntil(lambda: view._label_layer._before is None, timeout=10_000)
    view.animated = False
    view.show_solids({"whole": box})
    assert view._label_layer._before is None


def test_the_view_is_framed_when_reached_by_key(view):
    plain = colour_of(view, 1, 200)
    for kind, framed in ((QEvent.Type.FocusIn, True), (QEvent.Type.FocusOut, False)):
        QApplication.sendEvent(glass(view), QFocusEvent(kind, Qt.FocusReason.TabFocusReason))
        assert (difference(colour_of(view, 1, 200), plain) > 60) == framed


def test_drops_are_left_to_the_window(view):
    assert not glass(view).acceptDrops()


def test_the_overlay_draws_what_tools_put_there(view, settle, box):
    view.show_solids({"whole": box}, keep_camera=False)
    view.dimensions_shown = False
    view.set_view("front")
    settle()
    spot = pixel_of(view, (0, 60, 0))
    before = colour_of(view, *spot)
    square = np.array([[-20, 50, 0], [20, 50, 0], [20, 70, 0], [-20, 70, 0]])
    view.overlay.set_mesh("ghost", square, [[0, 1, 2], [0, 2, 3]], "#7A2E4D", 0.9)
    view.overlay.set_lines("ghost", square, "#7A2E4D", 2.0)
    view.overlay.set_points("ghost", square, "#7A2E4D")
    view.overlay.set_label("ghost", (0, 0, 40), "12.0")
    settle()
    assert difference(colour_of(view, *spot), before) > 40
    view.overlay.remove("ghost")
    settle()
    assert difference(colour_of(view, *spot), before) < 3
    assert not view.overlay.names


def test_a_view_can_be_closed_twice_and_asked_afterwards(view, box):
    view.show_solids({"whole": box}, keep_camera=False)
    view.close_view()
    view.close_view()
    view.set_view("back")
    view.clear()
    assert view.pick(10, 10) is None
