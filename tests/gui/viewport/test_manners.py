"""How the view behaves beside what it shows."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QRectF, Qt

from holdwright.gui.viewport.colour_map import ColourMap
from holdwright.gui.viewport.label_layer import Room
from holdwright.gui.viewport.view_camera import VIEWS, Pose, clear_view
from holdwright.pipeline.views.display_results import ShownSculpt, shown_solid, surface_of
from shapes import block


def test_fit_shows_handles_and_rings_beside_the_hold(view, box):
    view.show_solids({"whole": box}, keep_camera=False)
    far = np.array([[0.0, 0.0, 20.0], [0.0, 160.0, 20.0]])
    view.overlay.set_lines("ring", far, "#882244")
    view.overlay.set_points("knob", far[1:], "#882244")
    view.fit()
    pixels = view.lens.project(far)
    assert ((pixels[:, :2] > 0) & (pixels[:, :2] < view.lens.size)).all()


def test_labels_keep_clear_of_each_other_and_of_handles(view, box, monkeypatch):
    from holdwright.gui.viewport import label_layer

    placed: list[QRectF] = []
    find = Room.find

    def noted(room, slip, within):
        placed.append(find(room, slip, within))
        return placed[-1]

    monkeypatch.setattr(label_layer.Room, "find", noted)
    view.show_solids({"whole": box}, keep_camera=False)
    for number in range(4):
        view.overlay.set_label(str(number), (0.0, 0.0, 40.0), f"seat 12.{number} mm")
    view.overlay.set_points("knob", [(0.0, 0.0, 40.0)], "#882244", 13.0)
    view.grab()
    (knob,) = view.overlay.dots(view.lens)
    slips = placed[-4:]
    for number, slip in enumerate(slips):
        assert not any(slip.intersects(other) for other in (knob, *slips[:number]))
        assert abs(slip.center().x() - knob.center().x()) < 3 * slip.width(), "near its place all the same"


def test_a_flag_flies_away_from_a_handle(view, box):
    from quiet_runner import thin_wall

    view.show_solids({"whole": box}, keep_camera=False)
    view.show_markers([thin_wall()])
    x, y, _ = view.lens.project(np.array(thin_wall().where))[0]
    (cloth,) = view._flags.cloths(view.lens)
    assert cloth.left() == pytest.approx(x)
    start, direction = view.lens.ray(x + 12.0, y - 22.0)
    view.overlay.set_points("knob", [start + view.pose.distance * direction], "#882244", 13.0)
    (cloth,) = view._flags.cloths(view.lens)
    assert cloth.right() == pytest.approx(x)


def test_flags_at_one_place_stand_clear_of_each_other(view, box):
    from quiet_runner import thin_wall

    view.show_solids({"whole": box}, keep_camera=False)
    view.show_markers([thin_wall()] * 6)
    cloths = view._flags.cloths(view.lens)
    assert not any(one.intersects(other) for one, other in combinations(cloths, 2))
    for number, cloth in enumerate(cloths):
        at = cloth.center()
        assert view._flags.at(at.x(), at.y(), view.lens) == number, "and each is taken where it is drawn"


def test_handles_beyond_a_view_that_shows_all_of_the_hold_are_brought_in(view):
    flat = shown_solid(block(200.0, 20.0, 20.0))
    view.show_solids({"whole": flat}, keep_camera=False, view="front")
    ring = np.array([[0.0, 150.0, 0.0], [0.0, -150.0, 0.0]])
    view.overlay.set_lines("ring", ring, "#882244")
    assert not view._projection.sees(ring)
    view._show_handles()
    assert view._projection.sees(ring)
    near = replace(view.pose, distance=0.2 * view.pose.distance)
    view.set_pose(near)
    view._show_handles()
    assert view.pose is near, "who has gone near stays there"


def test_the_map_reads_out_under_the_pointer_and_its_scale_ends_on_round_figures(view, box):
    view.show_solids({"whole": box}, keep_camera=False)
    heights = box.surface.vertices[:, 2]
    view.set_colour_map(heights + 1.2347, 1.2347, 41.2347, 6.0, "Thickness")
    assert (view.scene.heat.low, view.scene.heat.high) == pytest.approx((0.0, 42.0))
    view.set_view("front")
    pick = view.pick(*view.lens.project(np.array([30.0, 30.0, 40.0]))[0][:2])
    assert view.scene.heat.value_at(pick, box.surface) == pytest.approx(41.2347)
    view.set_view("right")
    pick = view.pick(*view.lens.project(np.array([50.0, 10.0, 13.0]))[0][:2])
    assert view.scene.heat.value_at(pick, box.surface) == pytest.approx(1.2347 + pick.point[2], abs=1e-4)


@pytest.mark.parametrize(
    ("low", "high", "ends"), [(0.37, 52.4, (0.0, 54.0)), (2.11, 9.7, (2.0, 10.0)), (0.01, 0.09, (0.01, 0.09))]
)
def test_ends_of_a_scale_are_round(low, high, ends):
    heat = ColourMap(np.zeros(1, np.float32), low, high, None, "", "").rounded()
    assert (heat.low, heat.high) == pytest.approx(ends)


@pytest.mark.parametrize("beside", [(1, 0, 1), (-1, 0, 1), (1, 0, -1), (-1, 0, -1)])
def test_the_camera_starts_on_the_clear_side(beside):
    direction = np.array(beside) / np.sqrt(2.0)
    toward = Pose(np.zeros(3), *VIEWS[clear_view(direction)], 1.0).frame[2]
    assert toward @ direction < -0.5


def test_a_slab_is_faint_and_not_what_a_view_is_fitted_to(view):
    lump, slab = (surface_of(block(*size)) for size in ((40.0, 40.0, 40.0), (900.0, 900.0, 20.0)))
    view.show_sculpt(ShownSculpt((("lump", lump), ("slab", slab)), "digest", ()), "front", {"slab"})
    view.grab()
    drawn = [part._levels[False].actor.GetProperty().GetOpacity() for part in view.scene.parts.values()]
    assert drawn[0] == 1.0
    assert drawn[1] < 0.2
    corner = view.lens.project(np.array([[20.0, 20.0, 40.0], [-20.0, 20.0, 40.0]]))
    assert corner[0, 0] - corner[1, 0] > 0.25 * view.width()


def test_the_view_says_what_is_done_while_there_is_nothing_to_see(view, monkeypatch):
    from PySide6.QtGui import QPainter

    written: list[str] = []
    monkeypatch.setattr(QPainter, "drawText", lambda _painter, *given: written.append(given[-1]))
    view.waiting_text = "Reading hall-jug.obj"
    view.grab()
    assert "Reading hall-jug.obj" in written


def test_keys_of_the_view_are_heard_over_it_save_while_a_text_is_edited(qtbot, view, box):
    from PySide6.QtCore import QEvent
    from PySide6.QtWidgets import QApplication, QLineEdit, QPushButton, QVBoxLayout, QWidget

    from holdwright.gui.bars.actions import Actions

    window = QWidget()
    qtbot.addWidget(window)
    button, text, place = QPushButton("Step"), QLineEdit(), QWidget()
    layout = QVBoxLayout(window)
    for each in (button, text, place):
        layout.addWidget(each)
    actions = Actions(window, place)
    heard: list[str] = []
    actions["view_top"].triggered.connect(lambda: heard.append("top"))
    with qtbot.waitExposed(window):
        window.show()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    button.setFocus()
    qtbot.keyClick(button, Qt.Key.Key_5)
    assert heard == []
    QApplication.sendEvent(place, QEvent(QEvent.Type.Enter))
    qtbot.keyClick(button, Qt.Key.Key_5)
    assert heard == ["top"]
    text.setFocus()
    qtbot.keyClick(text, Qt.Key.Key_5)
    assert heard == ["top"]
    assert text.text() == "5"
    QApplication.sendEvent(place, QEvent(QEvent.Type.Leave))
    button.setFocus()
    qtbot.keyClick(button, Qt.Key.Key_5)
    assert heard == ["top"]


def test_a_click_beside_flags_and_escape_dismiss_what_was_shown_on_request(qtbot, view, box):
    view.show_solids({"whole": box}, keep_camera=False)
    with qtbot.waitSignal(view.dismissed):
        qtbot.mouseClick(view.focusProxy(), Qt.MouseButton.LeftButton, pos=QPoint(30, 30))
    with qtbot.waitSignal(view.dismissed):
        qtbot.keyClick(view.focusProxy(), Qt.Key.Key_Escape)
