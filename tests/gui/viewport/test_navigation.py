"""Turned, shifted, zoomed, flown: by drags, the wheel, clicks and keys."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt

from gui.viewport.hand import LEFT, MIDDLE, SHIFT, drag, glass, pixel_of, wheel
from holdwright.pipeline.views.display_results import ShownSolid

# What hands do


def test_a_drag_turns_the_view_and_with_shift_shifts_it(qtbot, view, box):
    view.show_solids({"whole": box}, keep_camera=False)
    view.set_view("front")
    before = view.pose
    drag(qtbot, view, (240, 180), (200, 160))
    assert view.pose.azimuth == pytest.approx(before.azimuth + 16.0)
    assert view.pose.elevation == pytest.approx(-8.0)
    assert view.pose.target == pytest.approx(before.target)
    view.set_view("front")
    for button, modifier in ((LEFT, SHIFT), (MIDDLE, Qt.KeyboardModifier.NoModifier)):
        place = view.pick(240, 180).point
        drag(qtbot, view, (240, 180), (280, 170), button, modifier)
        assert pixel_of(view, place) == pytest.approx((280, 170), abs=0.5)


def test_the_wheel_goes_toward_what_lies_under_the_pointer(view, box):
    view.show_solids({"whole": box}, keep_camera=False)
    view.set_view("front")
    x, y = pixel_of(view, (30, 20, 40))
    before = view.pose.distance
    wheel(view, x, y, 3)
    assert view.pose.distance < 0.7 * before
    assert pixel_of(view, (30, 20, 40)) == pytest.approx((x, y), abs=0.5)
    for _ in range(60):
        wheel(view, x, y, -3)
    assert np.isfinite(view.pose.distance)
    assert view.pose.distance < 20 * 100


def test_a_double_click_centres_a_place_and_home_shows_all(qtbot, view, box):
    view.show_solids({"whole": box}, keep_camera=False)
    view.set_view("front")
    x, y = pixel_of(view, (30, 20, 40))
    qtbot.mouseDClick(glass(view), LEFT, Qt.KeyboardModifier.NoModifier, QPoint(round(x), round(y)))
    assert pixel_of(view, (30, 20, 40)) == pytest.approx((240, 180), abs=1.5)
    qtbot.keyClick(glass(view), Qt.Key.Key_Home)
    assert pixel_of(view, (0, 0, 20)) == pytest.approx((240, 180), abs=40)


def test_keys_turn_the_view_and_others_pass(qtbot, view, box):
    view.show_solids({"whole": box}, keep_camera=False)
    before = view.pose
    qtbot.keyClick(glass(view), Qt.Key.Key_Right)
    qtbot.keyClick(glass(view), Qt.Key.Key_Up)
    assert view.pose.azimuth > before.azimuth
    assert view.pose.elevation > before.elevation
    heard = []
    view.keyPressEvent = lambda event: heard.append(event.key())
    qtbot.keyClick(glass(view), Qt.Key.Key_R)
    assert heard == [Qt.Key.Key_R]


# Frames


def test_a_stand_in_is_drawn_while_moving_where_frames_are_slow(view, settle, lump):
    view.show_solids({"whole": ShownSolid(lump.surface, None, 1.0, 1.0)}, keep_camera=False)
    full, light = (view.scene.triangles(coarse=coarse) for coarse in (False, True))
    assert light < full
    settle()
    view._budget.took(full, 0.25)
    view._budget.note_motion()
    assert view._budget.coarse(full, light)
    view._budget.moving = False
    assert not view._budget.coarse(full, light)
    for _ in range(20):
        view._budget.took(full, 5.0)
    assert view._budget.coarse(full, light)


def test_no_frame_is_drawn_while_nothing_changes(qapp, view, settle, box):
    view.show_solids({"whole": box}, keep_camera=False)
    settle()
    frames = []
    view.frame_drawn.connect(frames.append)
    for _ in range(20):
        qapp.processEvents()
    assert frames == []


def test_views_fly_when_they_may(qtbot, view, box):
    view.show_solids({"whole": box}, keep_camera=False)
    view.set_view("front")
    view.animated = True
    poses = []
    view.view_changed.connect(lambda: poses.append(view.pose.azimuth))
    view.set_view("right")
    qtbot.waitUntil(lambda: bool(poses) and poses[-1] == pytest.approx(90.0), timeout=10_000)
    assert poses == sorted(poses)
