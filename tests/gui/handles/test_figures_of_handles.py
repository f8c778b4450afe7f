"""What handles measure and draw while the pointer moves, against closed forms and against the steps."""

import numpy as np
import pytest

from boring import CATALOGUE, bored
from holdwright.geometry.base.planar_regions import flat_round
from holdwright.geometry.measure.nearest import nearest
from holdwright.geometry.measure.sections import section, signed_area
from holdwright.geometry.mesh.solid import Solid
from holdwright.gui.handles.flat_area import FlatAreas
from holdwright.gui.handles.grip import Grip, grasp
from holdwright.gui.handles.hole_handles import EnteringHold
from holdwright.gui.handles.pointer_projection import (
    along_axis,
    area_text,
    is_end_on,
    on_level,
    snapped,
)
from holdwright.gui.handles.shapes import box_edges, disc, ring, turned
from holdwright.gui.handles.silhouette import Silhouette, thicker
from holdwright.gui.handles.step_solids import Frames
from holdwright.gui.handles.trim_handles import enclosed_area, level_cut
from holdwright.gui.handles.turn_ring import wrapped
from holdwright.gui.viewport.view_camera import Lens, Pose
from holdwright.gui.widgets.number_format import length_text
from holdwright.hold.feature import Bore
from holdwright.operations.cut_bore import CutBore, CutBoreParameters
from holdwright.pipeline.views.display_results import ShownStep, Surface, surface_of
from shapes import block, boulder, frustum, sphere
from shapes import ring as solid_ring

UP = np.array([0.0, 0.0, 1.0])
LENS = Lens(Pose(np.zeros(3), 0.0, 0.0, 500.0), (640, 480))


@pytest.mark.parametrize("solid", [block(), solid_ring(), boulder()], ids=["block", "ring", "boulder"])
def test_a_level_cut_has_the_area_of_the_kernels_section(solid):
    low, high = solid.bounds[:, 2]
    for share in (0.21, 0.5, 0.83):
        z = float(low + share * (high - low))
        cut = level_cut(surface_of(solid), z)
        expected = sum(signed_area(outline) for outline in section(solid, z))
        assert enclosed_area(cut) == pytest.approx(expected, rel=2e-4)
        assert np.allclose(cut[..., 2], z)
    assert len(level_cut(surface_of(solid), float(high) + 1.0)) == 0


def test_a_flat_area_is_the_one_the_step_fits():
    solid = frustum(50.0, 30.0, 40.0)
    areas = FlatAreas(surface_of(solid))
    area = areas.round(np.array([3.0, 4.0, 0.0]), -UP)
    _, expected = flat_round(solid, nearest(solid, np.array([3.0, 4.0, 0.0]), -UP))
    assert area.mesh.area == pytest.approx(expected, rel=1e-3)
    assert area.mesh.area == pytest.approx(np.pi * 50.0**2, rel=1e-2)
    assert area.normal == pytest.approx(-UP, abs=1e-6)
    assert areas.holds(area, np.array([-20.0, 10.0, 0.0]), -UP)
    assert not areas.holds(area, np.array([0.0, 0.0, 40.0]), UP)
    rim = area.mesh.vertices[area.mesh.open_edges]
    assert np.linalg.norm(rim[:, 0] - rim[:, 1], axis=1).sum() == pytest.approx(2 * np.pi * 50.0, rel=1e-2)
    assert areas.round(np.array([200.0, 0.0, 0.0]), UP) is None


@pytest.mark.parametrize("by", ["recessed", "thickness", "depth"])
def test_a_seat_while_dragging_is_the_seat_of_the_step(by):
    solid = boulder(60.0, 0.25, 3).moved(np.diag([1.0, 1.0, 0.7, 1.0]))
    solid = solid.moved(
        np.array([[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, -solid.bounds[0, 2]], [0, 0, 0, 1.0]])
    )
    solid = Solid.checked(solid.kernel.trim_by_plane((0.0, 0.0, 1.0), 8.0).translate((0.0, 0.0, -8.0)))
    hold = EnteringHold(surface_of(solid))
    values = {"place": "at", "seat": by, "depth": 18.0}
    for at in ((0.0, 0.0), (11.3, -6.7)):
        parameters = CutBoreParameters(**values, at=at)
        [seated] = CutBore().preview(parameters, CATALOGUE, *at, hold.mesh)
        [made] = bored(solid, **values, at=at).hold.find(Bore)
        assert seated.hole.seat == pytest.approx(made.seat, abs=1e-3)
        assert seated.under == pytest.approx(made.thickness_under_seat, abs=1e-3)
        assert seated.whole
    # A block 100 mm across, bored 2 mm from its side.
    [seated] = CutBore().preview(CutBoreParameters(**values), CATALOGUE, 48.0, 0.0, block().mesh)
    assert seated.under > 0.0
    assert not seated.whole, "the pocket breaks out"


def test_a_place_off_the_back_is_led_onto_it():
    hold = EnteringHold(surface_of(block()))
    assert hold.on_back(10.0, 20.0) == (10.0, 20.0)
    assert hold.on_back(80.0, 20.0) == pytest.approx((50.0, 20.0), abs=0.6)


def test_the_outline_of_a_ball_is_a_circle():
    eye = np.array([0.0, 0.0, 400.0])
    lines = Silhouette(surface_of(sphere(50.0))).outline(np.eye(4), eye)
    # Tangents from a point at distance d touch a ball of radius r on a circle of radius r sqrt(1 - (r/d)^2).
    radius = 50.0 * np.sqrt(1.0 - (50.0 / 400.0) ** 2)
    assert np.hypot(lines[..., 0], lines[..., 1]) == pytest.approx(radius, rel=0.02)
    total = np.linalg.norm(lines[:, 1] - lines[:, 0], axis=1).sum()
    assert total == pytest.approx(2 * np.pi * radius, rel=0.1)


def test_rings_discs_and_turned_profiles_have_their_sizes():
    line = ring(np.array([1.0, 2.0, 3.0]), np.array([0.0, 1.0, 0.0]), 5.0)
    assert np.linalg.norm(line - [1.0, 2.0, 3.0], axis=1) == pytest.approx(5.0)
    assert np.ptp(line[:, 1]) == pytest.approx(0.0, abs=1e-12)
    assert _area(*disc(np.zeros(3), UP, 5.0)) == pytest.approx(np.pi * 25.0, rel=0.01)
    tube = turned([(4.0, 0.0), (4.0, 10.0)], np.zeros(3), UP)
    assert _area(*tube) == pytest.approx(2 * np.pi * 4.0 * 10.0, rel=0.01)
    edges = box_edges(np.zeros(3), np.array([1.0, 2.0, 3.0]))
    assert np.linalg.norm(edges[:, 1] - edges[:, 0], axis=1).sum() == pytest.approx(4 * (1 + 2 + 3))


def test_knobs_are_met_before_lines_and_nothing_from_afar():
    knob = Grip("knob", np.array([[20.0, 0.0, 0.0]]))
    line = Grip("line", np.array([[-40.0, 0.0, 0.0], [40.0, 0.0, 0.0]]))
    x, y, _ = LENS.project(np.array([20.0, 0.0, 0.0]))[0]
    assert grasp((line, knob), x + 6.0, y, LENS).grip is knob
    met = grasp((line, knob), x - 30.0, y + 5.0, LENS)
    assert met.grip is line
    assert met.place[0] == pytest.approx(20.0 - 30.0 * LENS.mm_per_pixel(np.zeros(3)), abs=0.01)
    assert grasp((line, knob), x, y + 40.0, LENS) is None
    behind = Grip("behind", np.array([[0.0, 0.0, 900.0]]))
    assert grasp((behind,), 320.0, 240.0, LENS) is None


def test_the_pointer_is_found_on_planes_and_axes():
    place = np.array([13.0, -7.0, 5.0])
    x, y, _ = LENS.project(place)[0]
    assert on_level(LENS.ray(x, y), np.array([0.0, 0.0, 5.0])) == pytest.approx(place, abs=1e-6)
    origin = np.array([13.0, 0.0, 5.0])
    assert along_axis(LENS.ray(x, y), origin, np.array([0.0, 1.0, 0.0])) == pytest.approx(-7.0)
    side = Lens(Pose(np.zeros(3), 90.0, 0.0, 500.0), (640, 480))
    x, y, _ = side.project(np.array([0.0, 6.0, 0.0]))[0]
    assert on_level(side.ray(x, y), np.zeros(3)) == pytest.approx([0.0, 6.0, 0.0], abs=0.1)
    assert is_end_on(LENS.ray(320.0, 240.0), UP)
    assert not is_end_on(side.ray(320.0, 240.0), UP)


def test_lengths_snap_and_are_written_in_the_unit_preferred():
    assert snapped(12.37, 0.5, "mm") == 12.5
    assert snapped(12.374, 0.5, "mm", free=True) == 12.37
    assert snapped(25.0, 1.0, "inch") == pytest.approx(25.4)
    assert length_text(12.34, "mm") == "12.3 mm"
    assert length_text(25.4, "inch") == "1.00 in"
    assert area_text(8412.0, "mm") == "84.1 cm²"
    assert area_text(645.16, "inch") == "1.00 in²"
    assert [wrapped(angle) for angle in (190.0, -190.0, 180.0, -180.0, 45.0)] == [-170, 170, 180, 180, 45]


def test_picks_lead_through_the_frames_and_back():
    turn = np.array([[0.0, -1.0, 0.0, 4.0], [1.0, 0.0, 0.0, 5.0], [0.0, 0.0, 1.0, 6.0], [0, 0, 0, 1.0]])
    shown = ShownStep("s2", "orient_to_base", "", "b", placement=turn @ np.diag([2.0, 2.0, 2.0, 1.0]))
    frames = Frames(shown, ShownStep("s1", "import_sculpt", "", "a"), own=True)
    pick = frames.pick(np.array([4.0, 7.0, 6.0]), np.array([0.0, 1.0, 0.0]))
    assert pick.point == pytest.approx((1.0, 0.0, 0.0))
    assert pick.normal == pytest.approx((1.0, 0.0, 0.0))
    place, normal = frames.place(pick)
    assert place == pytest.approx([4.0, 7.0, 6.0])
    assert normal == pytest.approx([0.0, 1.0, 0.0])


def _area(points, triangles) -> float:
    corners = points[triangles]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return float(np.linalg.norm(cross, axis=1).sum() / 2)


def test_a_torn_surface_is_drawn_thicker_on_its_outside_whichever_way_its_faces_are_wound():
    ball = sphere(50.0, 48)
    faces = np.array(ball.triangles)
    faces[::3] = faces[::3, ::-1]
    for wound in (ball.triangles, ball.triangles[:, ::-1], faces):
        points = thicker(Surface(ball.vertices.astype(np.float32), wound.astype(np.int32)), 1.0)
        assert (np.linalg.norm(points, axis=1) > 50.0).mean() > 0.99
