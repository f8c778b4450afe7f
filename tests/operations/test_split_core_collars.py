"""Collars round screw holes: solid, closed, and clear of what is beside them."""

import math

import pytest
from manifold3d import Manifold

from holdwright.errors import ParameterError
from holdwright.geometry.hole.hole_cut import hole_cutter
from holdwright.geometry.mesh.boolean import connected, subtract
from holdwright.geometry.mesh.frame import lean
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Collar, PartingFace
from holdwright.hold.hold import CORE, SHELL, Hold
from holdwright.operations.cut_screw_hole import CutScrewHole, CutScrewHoleParameters
from holdwright.operations.relieve_back import RelieveBack, RelieveBackParameters
from operations.outcomes import codes, finding
from operations.splitting import bore, bored, screw, screwed, split, whole_again
from shapes import block, boulder


def test_a_collar_stands_round_each_screw_hole_with_its_closed_form(run):
    hold = screwed(bored(block(160, 140, 60), bore()), screw(), screw(-50.0, 20.0))
    bare = split(bored(block(160, 140, 60), bore()), run)
    outcome = split(hold, run)
    assert outcome.findings == bare.findings == ()
    core = outcome.hold.solids[CORE]
    assert whole_again(outcome) == pytest.approx(hold.whole.volume, rel=1e-14)
    # 1.5 heads of 10.4 mm right through 60 mm, less hole, countersink (2.45 mm) and pocket above it.
    cone = math.pi / 3 * (2.75**2 + 2.75 * 5.2 + 5.2**2) * 2.45
    void = math.pi * 2.75**2 * 57 + cone + math.pi * 5.2**2 * (60 - 59.45)
    collar = math.pi * 7.8**2 * 60 - void
    assert core.volume - bare.hold.solids[CORE].volume == pytest.approx(2 * collar, rel=1e-7)
    pieces = connected(core)
    assert len(pieces) == 3
    assert pieces[-1].volume == pytest.approx(collar, rel=1e-7)
    assert len(connected(outcome.hold.solids[SHELL])) == 1
    made = outcome.hold.find(Collar)
    assert [(each.x, each.y) for each in made] == [(50.0, 0.0), (-50.0, 20.0)]
    assert [each.diameter for each in made] == pytest.approx([15.6, 15.6])
    assert outcome.result.endswith("mm high, 2 collars")


@pytest.mark.parametrize(("land", "taken"), [(1.0, False), (3.0, True), (4.5, True), (4.7, False)])
def test_a_collar_takes_all_of_a_land_that_is_hardly_wider(run, land, taken):
    """A ring of land up to 2 mm wide round a collar of 7.8 mm would be a thin wall of the shell."""
    hold = screwed(bored(block(160, 140, 60), bore()), screw())
    relieved = RelieveBack().apply(hold, RelieveBackParameters(screw_land=land), run).hold
    (collar,) = split(relieved, run).hold.find(Collar)
    radius = 5.2 + land + 0.05 if taken else 7.8
    assert collar.diameter / 2.0 == pytest.approx(radius, abs=0.01)


def test_a_leaning_collar_has_its_closed_form(run):
    axis = lean(20.0, 90.0)
    hold = screwed(bored(block(160, 140, 60), bore(x=-30.0)), screw(45.0, -20.0, 58.0, axis))
    bare = split(bored(block(160, 140, 60), bore(x=-30.0)), run)
    outcome = split(hold, run, collar_diameter=20.0)
    along = 60 / math.cos(math.radians(20.0))
    cone = math.pi / 3 * (2.75**2 + 2.75 * 5.2 + 5.2**2) * 2.45
    void = math.pi * 2.75**2 * 58 + cone + math.pi * 5.2**2 * (along - 60.45)
    collar = math.pi * 10**2 * along - void
    gained = outcome.hold.solids[CORE].volume - bare.hold.solids[CORE].volume
    assert gained == pytest.approx(collar, rel=1e-7)
    assert whole_again(outcome) == pytest.approx(hold.whole.volume, rel=1e-14)


def test_a_collar_beside_a_cliff_ends_within_the_hold_and_below_an_overhang(run):
    tall = Manifold.cube((40, 140, 100)).translate((59, -70, 0))
    stepped = Solid.checked(Manifold.cube((160, 140, 60), True).translate((0, 0, 30)) + tall)
    (made,) = split(screwed(bored(stepped, bore()), screw()), run).hold.find(Collar)
    # The cliff starts 1.2 mm beyond the collar, which ends half a mm above a countersink of any angle.
    assert made.top == pytest.approx(57 + 5.2 + 0.5)
    (made,) = split(screwed(bored(stepped, bore()), screw(52.0)), run).hold.find(Collar)
    assert made.top == pytest.approx(57 + 3 * 7.8)
    shelf = Manifold.cube((40, 140, 20)).translate((45, -70, 70))
    post = Manifold.cube((10, 140, 90)).translate((75, -70, 0))
    roofed = Solid.checked(Manifold.cube((160, 140, 60), True).translate((0, 0, 30)) + shelf + post)
    hole = screw(54.0)
    hold = bored(roofed, bore(x=-20.0))
    cutter = hole_cutter(hole.hole, -1.0, 65.0)
    outcome = split(hold.with_whole(subtract(hold.whole, [cutter]), hole), run)
    assert outcome.hold.find(Collar)[0].top < 70.0
    assert len(connected(outcome.hold.solids[CORE])) == 2


def test_a_screw_in_the_core_and_a_collar_beside_it_or_the_rim_are_told(run):
    plain = bored(block(160, 140, 60), bore(), rim=5.0)
    within = split(screwed(plain, screw(22.0)), run)
    assert finding(within, "screw_in_core").measured < 0.0
    assert "core_in_pieces" not in codes(within)
    assert len(connected(within.hold.solids[CORE])) == 1
    # A core 60 mm across everywhere: 38.5 - 7.8 - 30 leaves 0.7 mm between it and the collar.
    beside = split(screwed(plain, screw(38.5)), run, wall_diameter=60.0, top_diameter=60.0)
    assert finding(beside, "thin_shell_at_collar").measured == pytest.approx(0.7, abs=0.01)
    near = split(screwed(plain, screw(80.0 - 7.8 - 1.2)), run)
    assert finding(near, "collar_near_edge").measured == pytest.approx(1.2, abs=0.02)
    assert codes(near) == ["collar_near_edge"]
    cut = split(screwed(plain, screw(80.0 - 7.8 + 0.6)), run)
    assert finding(cut, "collar_near_edge").measured == pytest.approx(-0.6, abs=0.02)


def test_a_screw_hole_is_no_grip_and_does_not_narrow_the_core(run):
    hold = bored(block(160, 140, 60), bore())
    with_screw = split(screwed(hold, screw(34.0)), run)
    assert with_screw.hold.find(PartingFace) == split(hold, run).hold.find(PartingFace)


def test_collars_without_a_bore_and_narrower_than_the_head(run):
    hold = screwed(Hold(sized=True).with_whole(block(160, 140, 60)), screw())
    outcome = split(hold, run, along="point", wall_diameter=40.0)
    assert len(connected(outcome.hold.solids[CORE])) == 2
    with pytest.raises(ParameterError, match=r"takes 10\.4 mm"):
        split(hold, run, along="point", wall_diameter=40.0, collar_diameter=8.0)


def test_collars_on_a_rough_dome_leave_closed_parts(run):
    kernel = boulder(60, segments=96).kernel.translate((0, 0, 10)).trim_by_plane((0, 0, 1), 0)
    hold = bored(Solid.checked(kernel), bore(seat=40.0))
    for x, y in ((40.0, 5.0), (-38.0, 8.0)):
        hold = CutScrewHole().apply(hold, CutScrewHoleParameters(place="at", at=(x, y)), run).hold
    outcome = split(hold, run)
    assert whole_again(outcome) == pytest.approx(hold.whole.volume, rel=1e-14)
    assert "shell_in_pieces" not in codes(outcome)
    assert "core_in_pieces" not in codes(outcome)
    assert "core_pierces" not in codes(outcome)
