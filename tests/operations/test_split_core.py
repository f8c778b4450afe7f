import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import Manifold

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import GeometryError, ParameterError
from holdwright.geometry.mesh.boolean import connected
from holdwright.geometry.mesh.circle import circle_points
from holdwright.geometry.mesh.closedness import closedness
from holdwright.geometry.mesh.single_precision import printed_mesh
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import PartingFace
from holdwright.hold.hold import CORE, SHELL, Hold
from holdwright.operations.base import Outcome, Run
from holdwright.operations.split_core import SplitCore, SplitCoreParameters
from operations.outcomes import codes, finding
from operations.splitting import WASHER, bore, bored, split, whole_again
from shapes import block, boulder


def test_parts_fill_the_hold_and_the_core_has_its_closed_form(run):
    hold = bored(block(160, 140, 60), bore())
    outcome = split(hold, run, wall_diameter=60.0, top_diameter=50.0)
    assert set(outcome.hold.solids) == {SHELL, CORE}
    assert whole_again(outcome) == pytest.approx(hold.whole.volume, rel=1e-12)
    frustum = math.pi / 3 * (30**2 + 30 * 25 + 25**2) * 21
    shank = math.pi * 5.5**2 * 20
    pocket = 128 / 2 * math.sin(2 * math.pi / 128) * 15.5**2 * 1  # 128 sides, as bored here
    assert outcome.hold.solids[CORE].volume == pytest.approx(frustum - shank - pocket, rel=1e-9)
    assert outcome.findings == ()
    assert outcome.result == "4 % core, 60 to 50 mm across, 21 mm high"


def test_automatic_core_is_tapered_clear_of_the_pocket_and_ends_above_the_seat(run):
    outcome = split(bored(block(160, 140, 60), bore(seat=25.0)), run)
    (face,) = outcome.hold.find(PartingFace)
    assert outcome.findings == ()
    assert face.top == pytest.approx(26.0)
    assert face.top_diameter == pytest.approx(1.5 * 31)
    assert face.top_diameter / 2 - 15.5 >= 6
    assert face.wall_diameter > face.top_diameter
    core = outcome.hold.solids[CORE]
    assert core.bounds[1, 2] == pytest.approx(26.0)
    assert core.size[0] == pytest.approx(face.wall_diameter, rel=1e-3)
    assert len(connected(core)) == len(connected(outcome.hold.solids[SHELL])) == 1
    assert core.genus == outcome.hold.solids[SHELL].genus == 1


@pytest.mark.parametrize("size", [(60, 60, 150, 40), (150, 120, 16, 9), (140, 52, 60, 20)])
def test_tall_flat_and_narrow_holds_need_no_hand(run, size):
    *sides, seat = size
    hold = bored(block(*sides), bore(seat=seat))
    outcome = split(hold, run)
    assert whole_again(outcome) == pytest.approx(hold.whole.volume, rel=1e-12)
    assert set(codes(outcome)) <= {"core_narrowed"}


def test_thin_hold_gets_a_narrower_core_and_says_so(run):
    outcome = split(bored(block(140, 60, 60), bore()), run)
    narrowed = finding(outcome, "core_narrowed")
    (face,) = outcome.hold.find(PartingFace)
    assert narrowed.measured == pytest.approx(face.wall_diameter)
    assert narrowed.measured < narrowed.limit
    assert (60 - face.wall_diameter) / 2 >= 6.0


def test_core_within_the_pocket_ends_at_the_seat(run):
    outcome = split(bored(block(140, 46, 60), bore()), run)
    (face,) = outcome.hold.find(PartingFace)
    assert face.top == pytest.approx(20.0)
    assert face.top_diameter < 31.0
    assert outcome.hold.solids[CORE].bounds[1, 2] == pytest.approx(20.0, abs=1e-9)


def test_core_too_near_the_edge_is_reported_with_its_place(run):
    outcome = split(bored(block(140, 80, 60), bore(y=15.0), rim=3.0), run, wall_diameter=48, top_diameter=46)
    near = finding(outcome, "core_near_edge")
    assert near.measured == pytest.approx(1.0, abs=0.02)
    assert near.where[1] == pytest.approx(40.0, abs=0.01)
    assert "thin_shell" not in codes(outcome)


def test_thin_shell_over_the_core_is_reported(run):
    """A dome: the ring of core round the pocket comes near the grip surface, not the rim."""
    dome = Solid.checked(Manifold.sphere(60, 256).trim_by_plane((0, 0, 1), 0.0).scale((1, 1, 0.5)))
    outcome = split(bored(dome, bore(seat=20.0)), run, wall_diameter=64, top_diameter=62)
    thin = finding(outcome, "thin_shell")
    rim = np.array([31.0, 21.0])
    angles = np.linspace(0, np.pi / 2, 100_001)
    ellipse = np.column_stack([60 * np.cos(angles), 30 * np.sin(angles)])
    assert thin.measured == pytest.approx(np.linalg.norm(ellipse - rim, axis=1).min(), abs=0.05)
    assert thin.limit == 6.0
    assert "core_pierces" not in codes(outcome)


def test_core_that_pierces_is_reported_with_area_and_place(run):
    """A 60 mm column in a slab 40 mm deep lies open on both long sides; the chord gives the area."""
    outcome = split(bored(block(140, 40, 50), bore(pocket=20.0)), run, wall_diameter=60, top_diameter=60)
    pierced = finding(outcome, "core_pierces")
    chord = 2 * math.sqrt(30**2 - 20**2)
    assert pierced.measured == pytest.approx(2 * chord * 21, rel=1e-3)
    assert pierced.unit == "mm2"
    assert abs(pierced.where[1]) == pytest.approx(20.0)
    assert abs(pierced.where[0]) < 1.0
    assert "by up to 10.0 mm" in pierced.message
    assert whole_again(outcome) == pytest.approx(
        outcome.hold.solids[SHELL].volume * 1.0 + core_volume(outcome)
    )


def core_volume(outcome: Outcome) -> float:
    return outcome.hold.solids[CORE].volume


def test_core_that_pierces_within_the_pocket_outline_below_the_seat(run):
    """A stem narrower than the pocket it carries: the core comes out of the stem, not of the head."""
    stem = Solid.checked(block(24, 24, 30).kernel + block(120, 120, 30).kernel.translate((0, 0, 30)))
    outcome = split(bored(stem, bore(seat=35.0)), run, wall_diameter=30, top_diameter=30)
    pierced = finding(outcome, "core_pierces")
    # Each side of the stem shows the chord of the circle of radius 15 at 12 mm, over 30 mm; the head's
    # underside shows the segment beyond it.
    chord, segment = 2 * math.sqrt(15**2 - 12**2), 15**2 * math.acos(12 / 15) - 12 * math.sqrt(15**2 - 12**2)
    assert pierced.measured == pytest.approx(4 * (chord * 30 + segment), rel=1e-3)


def test_shell_cut_in_two_is_reported(run):
    outcome = split(
        bored(block(140, 40, 21), bore(seat=15, pocket=20)),
        run,
        wall_diameter=62,
        top_diameter=61,
        above_seat=20,
    )
    pieces = finding(outcome, "shell_in_pieces")
    assert pieces.measured == 2
    assert "2 pieces" in pieces.message


def test_two_pieces_of_whole_do_not_blame_the_core(run):
    both = Solid.checked(block(60, 60, 50).kernel + Manifold.cube((20, 20, 20), True).translate((60, 0, 10)))
    outcome = split(bored(both, bore(pocket=20.0)), run, wall_diameter=62, top_diameter=40)
    assert "core_pierces" in codes(outcome)
    assert "shell_in_pieces" not in codes(outcome)


def test_two_bores_apart_and_together(run):
    apart = split(bored(block(220, 120, 60), bore(-55), bore(55)), run)
    assert len(apart.hold.find(PartingFace)) == 2
    assert len(connected(apart.hold.solids[CORE])) == 2
    assert apart.result.endswith("2 columns")
    together = split(bored(block(220, 120, 60), bore(-20), bore(20)), run)
    assert len(connected(together.hold.solids[CORE])) == 1
    assert apart.findings == together.findings == ()


def test_core_beside_the_deeper_pocket_of_another_bore_is_reported(run):
    """Seats at 30 and 15 mm, axes 42 mm apart: the higher core passes the lower pocket at 3.5 mm."""
    outcome = split(
        bored(block(260, 120, 60), bore(-21, seat=30.0), bore(21, seat=15.0)),
        run,
        wall_diameter=46.0,
        top_diameter=46.0,
    )
    near = finding(outcome, "core_near_pocket")
    assert near.measured == pytest.approx(42 - 23 - 15.5, abs=0.01)
    assert near.where == pytest.approx((21.0, 0.0, 16.0))
    level = split(bored(block(260, 120, 60), bore(-21), bore(21)), run)
    assert "core_near_pocket" not in codes(level)


@given(tilt=st.floats(0.0, 30.0), about=st.floats(0.0, 360.0))
@settings(max_examples=8, deadline=None)
def test_tilted_bores(tilt, about):
    lean, turn = np.radians(tilt), np.radians(about)
    axis = (float(np.sin(lean) * np.cos(turn)), float(np.sin(lean) * np.sin(turn)), float(np.cos(lean)))
    hold = bored(block(200, 200, 60), bore(axis=axis))
    outcome = SplitCore().apply(hold, SplitCoreParameters(), Run(load_catalogue()))
    assert whole_again(outcome) == pytest.approx(hold.whole.volume, rel=1e-12)
    assert outcome.findings == ()
    (face,) = outcome.hold.find(PartingFace)
    assert face.top == pytest.approx(20.0 / axis[2] + 1.0)
    # The core reaches the finished back all round: its foot print is the cone's whole ellipse.
    foot = outcome.hold.solids[CORE].kernel.slice(1e-6).area()
    radius = face.wall_diameter / 2
    assert foot > math.pi * (radius**2 - 5.6**2 / axis[2]) * 0.999


def test_stock_below_the_back_is_parted_too(run):
    solid = Solid.checked(block(140, 120, 60).kernel.translate((0, 0, -0.4)))
    outcome = split(bored(solid, bore()), run)
    assert outcome.hold.solids[CORE].bounds[0, 2] == pytest.approx(-0.4)
    assert outcome.hold.solids[SHELL].bounds[0, 2] == pytest.approx(-0.4)
    assert outcome.findings == ()


def test_sculpted_hold(run):
    lump = boulder(60.0, 0.25, seed=7, segments=200)
    cut = Solid.checked(lump.kernel.trim_by_plane((0, 0, 1), -15.0).translate((0, 0, 15.0)))
    hold = bored(cut, bore())
    outcome = split(hold, run)
    assert whole_again(outcome) == pytest.approx(hold.whole.volume, rel=1e-12)
    assert not set(codes(outcome)) & {"core_pierces", "shell_in_pieces"}


def test_thin_ring_asked_for_is_reported(run):
    outcome = split(bored(block(160, 140, 60), bore()), run, wall_diameter=40, top_diameter=36)
    ring = finding(outcome, "thin_core_ring")
    assert ring.measured == pytest.approx(2.5)
    assert ring.limit == 6.0


def test_a_core_that_ends_within_the_bore_below_the_seat_is_an_error(run):
    """Cone from 12.2 to 2 mm over 21 mm: as wide as the 11 mm hole after 21 * 1.2 / 10.2 mm."""
    outcome = split(bored(block(160, 140, 60), bore()), run, wall_diameter=12.2, top_diameter=2.0)
    low = finding(outcome, "core_below_seat")
    assert (low.severity, low.limit) == ("error", 20.0)
    assert low.measured == pytest.approx(21 * 1.2 / 10.2)
    assert outcome.hold.solids[CORE].bounds[1, 2] == pytest.approx(low.measured, abs=0.02)
    small = finding(outcome, "core_too_small")
    assert (small.severity, small.unit) == ("error", "mm3")
    assert small.measured == pytest.approx(core_volume(outcome))


@pytest.mark.parametrize(("across", "severity"), [(20.0, "error"), (26.0, "warning")])
def test_a_core_under_part_of_the_washer_is_reported(run, across, severity):
    ring, hole = run.catalogue.washer(WASHER).outer / 2, 5.5
    outcome = split(bored(block(160, 140, 60), bore()), run, wall_diameter=across)
    off = finding(outcome, "washer_off_core")
    radius = across / 2
    assert off.severity == severity
    assert off.measured == pytest.approx(100 * (radius**2 - hole**2) / (ring**2 - hole**2), abs=2.0)
    assert off.where == pytest.approx((0.0, 0.0, 20.0))
    assert "core_too_small" not in codes(outcome)


def test_a_core_off_the_end_of_a_slot_is_reported(run):
    """Top and wall 40 mm leave a 15 mm washer's outer end bare where the bolt stands 15 mm along the slot."""
    slotted = dataclasses.replace(bore(), slot=30.0)
    outcome = split(bored(block(200, 160, 60), slotted), run, wall_diameter=40.0, top_diameter=40.0)
    assert finding(outcome, "washer_off_core").measured < 70.0


def test_a_core_at_a_point_of_almost_nothing_is_an_error(run):
    plain = Hold(sized=True).with_whole(block(100, 100, 60))
    outcome = split(plain, run, along="point", height=20.0, wall_diameter=5.0)
    assert codes(outcome) == ["core_too_small"]
    two = split(bored(block(220, 120, 60), bore(-55), bore(55)), run, wall_diameter=12.2, top_diameter=2.0)
    assert [each.code for each in two.findings].count("core_too_small") == 2


def test_point_without_a_bore(run):
    hold = Hold(sized=True).with_whole(block(100, 100, 60))
    outcome = split(hold, run, along="point", at=(10.0, 5.0), height=25.0, wall_diameter=50.0)
    (face,) = outcome.hold.find(PartingFace)
    assert (face.x, face.y, face.top) == (10.0, 5.0, 25.0)
    radius, top = 25.0, face.top_diameter / 2
    volume = math.pi / 3 * (radius**2 + radius * top + top**2) * 25
    assert outcome.hold.solids[CORE].volume == pytest.approx(volume, rel=1e-9)
    assert outcome.findings == ()


def test_no_bore_narrow_foot_and_second_split_are_refused(run):
    plain = Hold(sized=True).with_whole(block())
    with pytest.raises(ParameterError, match="scale it before"):
        split(Hold().with_whole(block()), run)
    with pytest.raises(ParameterError, match="hold has none"):
        split(plain, run)
    with pytest.raises(ParameterError, match="give its diameter"):
        split(plain, run, along="point")
    hold = bored(block(160, 140, 60), bore())
    with pytest.raises(ParameterError, match="narrows towards the wall"):
        split(hold, run, wall_diameter=40, top_diameter=60)
    with pytest.raises(GeometryError, match="already split"):
        split(split(hold, run).hold, run)
    with pytest.raises(GeometryError, match="no shell"):
        split(hold, run, wall_diameter=900, top_diameter=900, above_seat=100)


def test_a_core_round_a_slotted_bore_leaves_its_ring_at_the_slots_ends(run):
    long = dataclasses.replace(bore(), slot=12.0)
    outcome = split(bored(block(200, 180, 60), long), run)
    (face,) = outcome.hold.find(PartingFace)
    assert face.top_diameter == pytest.approx(1.5 * (31 + 12))


def test_a_shell_that_touches_itself_at_the_core_is_joined(run):
    """A corner of the core's polygon reaches through the side of the hold by less than a file tells apart."""
    reach = float(np.abs(circle_points(25.0)[:, 1]).max()) - 1e-8
    hold = bored(block(240.0, 2 * reach, 40.0), bore(x=50.0, seat=15.0, pocket=20.0))
    outcome = split(hold, run, wall_diameter=50.0, top_diameter=50.0, above_seat=20.0)
    assert "touch_joined" in codes(outcome)
    for part in outcome.hold.solids.values():
        written = printed_mesh(part.vertices, part.triangles)
        found = closedness(written.vertices, written.triangles)
        assert (found.closed, found.contact_edges) == (True, 0)
    assert whole_again(outcome) == pytest.approx(hold.whole.volume, rel=1e-5)
