"""Relieving the back, against closed forms and with bores, screws, stock and cores beside it."""

import math

import numpy as np
import pytest
from manifold3d import Manifold

from boring import CATALOGUE, bored, codes, rock
from holdwright.errors import GeometryError, ParameterError
from holdwright.geometry.measure.sections import section, signed_area
from holdwright.geometry.mesh.closedness import closedness
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.single_precision import printed_mesh
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.relief.pocket import CORNER
from holdwright.hold.feature import BackPocket, Bore, PartingFace, ScrewHole
from holdwright.hold.hold import CORE, SHELL, Hold
from holdwright.joint.holding.contact import back_outlines
from holdwright.operations.base import Outcome, Run
from holdwright.operations.cut_screw_hole import CutScrewHole, CutScrewHoleParameters
from holdwright.operations.relieve_back import RelieveBack, RelieveBackParameters
from holdwright.operations.split_core import SplitCore, SplitCoreParameters
from shapes import block, ring

RUN = Run(CATALOGUE)


def holding(solid: Solid) -> Hold:
    return Hold(sized=True).with_whole(solid)


def relieve(hold: Hold | Solid, **parameters: object) -> Outcome:
    hold = hold if isinstance(hold, Hold) else holding(hold)
    return RelieveBack().apply(hold, RelieveBackParameters(**parameters), RUN)


def disc(radius: float = 60.0, height: float = 40.0) -> Solid:
    return Solid.checked(Manifold.cylinder(height, radius, radius, 1024))


def screwed(hold: Hold, x: float, y: float, **parameters: object) -> Hold:
    asked = CutScrewHoleParameters(place="at", at=(x, y), **parameters)
    return CutScrewHole().apply(hold, asked, RUN).hold


def pocket(outcome: Outcome) -> BackPocket:
    return outcome.hold.find(BackPocket)[0]


def closed(solid: Solid) -> bool:
    written = printed_mesh(solid.vertices, solid.triangles)
    return closedness(written.vertices, written.triangles).closed


def bare(outcome: Outcome) -> dict[str, str]:
    """Codes apart from what is told of every pocket."""
    return {code: severity for code, severity in codes(outcome).items() if code != "pocket_bridges"}


@pytest.mark.parametrize(("land", "depth"), [(12.0, 1.0), (5.0, 2.5), (40.0, 0.3)])
def test_a_disc_loses_pi_r_squared_times_depth(land, depth):
    solid = disc()
    outcome = relieve(solid, land=land, depth=depth)
    removed = solid.volume - outcome.hold.whole.volume
    assert removed == pytest.approx(math.pi * (60.0 - land) ** 2 * depth, rel=3e-4)
    assert pocket(outcome).area * depth == pytest.approx(removed, rel=1e-9)
    assert closed(outcome.hold.whole)


def test_a_rectangle_loses_a_rectangle_with_rounded_corners():
    outcome = relieve(block(100.0, 80.0, 40.0))
    expected = (100.0 - 24.0) * (80.0 - 24.0) - (4.0 - math.pi) * CORNER**2
    assert 100.0 * 80.0 * 40.0 - outcome.hold.whole.volume == pytest.approx(expected, rel=2e-4)


def test_a_ring_keeps_a_land_round_its_hollow():
    solid = ring(60.0, 15.0, 30.0, 1024)
    removed = solid.volume - relieve(solid, land=10.0).hold.whole.volume
    assert removed == pytest.approx(math.pi * (50.0**2 - 25.0**2), rel=5e-4)


def test_the_pocket_goes_on_over_a_bore_unless_it_gets_a_land():
    hold = bored(disc(), place="at", under_seat=12.0).hold
    (bore,) = hold.find(Bore)
    free = relieve(hold)
    assert pocket(free).area == pytest.approx(math.pi * 48.0**2, rel=2e-4)
    assert bare(free) == {"bore_in_pocket": "note"}
    assert free.hold.find(Bore)[0].thickness_under_seat == bore.thickness_under_seat - 1.0
    landed = relieve(hold, bore_land=20.0)
    inner = bore.clearance_diameter / 2.0 + 20.0
    assert pocket(landed).area == pytest.approx(math.pi * (48.0**2 - inner**2), rel=1e-3)
    assert bare(landed) == {}
    assert landed.hold.find(Bore) == (bore,)


def test_a_leaning_slotted_bore_gets_a_land_as_wide_all_round():
    hold = bored(disc(), place="at", tilt=15.0, toward=30.0, hole="slot", slot=10.0, slot_toward=70.0).hold
    open_at_wall = [each for each in back_outlines(hold.whole) if signed_area(each) < 0]
    mouth = np.concatenate(open_at_wall)
    rings = [each for each in pocket(relieve(hold, bore_land=6.0)).drawn if signed_area(each) < 0]
    apart = np.hypot(*(np.concatenate(rings)[:, None] - mouth).T).min(axis=0)
    assert 5.9 < apart.min() < apart.max() < 7.0


def test_the_land_round_a_screw_goes_beyond_its_head():
    plain = holding(disc())
    for hold, lean in ((screwed(plain, 25.0, 0.0), 0.0), (screwed(plain, 25.0, 0.0, tilt=20.0), 20.0)):
        (screw,) = hold.find(ScrewHole)
        outcome = relieve(hold, screw_land=5.0)
        taken = math.pi * 48.0**2 - pocket(outcome).area
        boss = math.pi * (screw.head_diameter / 2.0 + 5.0) ** 2
        assert taken == pytest.approx(boss, rel=2e-3) if lean == 0.0 else taken > boss
        under = screw.hole.on_axis(screw.seat)[:2]
        assert not outcome.hold.find(BackPocket)[0].on_surface(np.array([[*under, 0.5]])).any()
        assert outcome.hold.find(ScrewHole) == (screw,)


def test_a_screw_within_the_land_takes_nothing_of_the_pocket():
    edge = screwed(holding(disc()), 47.0, 0.0)
    assert pocket(relieve(edge, land=25.0)).area == pytest.approx(math.pi * 35.0**2, rel=2e-4)


def test_depth_counts_from_the_finished_back_through_the_stock():
    stock = Solid.checked(Manifold.cylinder(42.0, 60.0, 60.0, 1024)).moved(
        placement(shift=np.array([0, 0, -2.0]))
    )
    outcome = relieve(stock)
    assert stock.volume - outcome.hold.whole.volume == pytest.approx(3.0 * math.pi * 48.0**2, rel=2e-4)
    for z, relieved in ((-1.99, True), (0.99, True), (1.01, False)):
        whole = sum(map(signed_area, section(outcome.hold.whole, z)))
        assert whole == pytest.approx(math.pi * (60.0**2 - (48.0**2 if relieved else 0.0)), rel=2e-4)


def test_each_outline_of_a_back_gets_its_pocket_and_a_narrow_one_none():
    def post(x: float, radius: float) -> Manifold:
        return Manifold.cylinder(20.0, radius, radius, 512).translate((x, 0.0, 0.0))

    bar = Manifold.cube((200.0, 20.0, 20.0), True).translate((0.0, 0.0, 25.0))
    feet = Solid.checked(post(-70.0, 30.0) + post(70.0, 25.0) + post(0.0, 10.0) + bar)
    outcome = relieve(feet, land=12.0)
    expected = math.pi * (18.0**2 + 13.0**2)
    assert feet.volume - outcome.hold.whole.volume == pytest.approx(expected, rel=1e-3)
    assert bare(outcome) == {"outline_not_relieved": "note"}
    assert outcome.findings[0].message.endswith("a land of 12 mm: 1 of 3; they stay as they are.")


def test_a_land_as_wide_as_the_hold_is_said_to_relieve_nothing():
    hold = holding(disc(20.0))
    outcome = relieve(hold, land=20.0)
    assert codes(outcome) == {"nothing_to_relieve": "note"}
    assert outcome.hold is hold


def test_ribs_keep_bridges_short_and_leave_the_bore_free():
    hold = bored(disc(), place="at").hold
    wide, ribbed = relieve(hold), relieve(hold, rib_spacing=18.0, rib_width=2.0)
    spans = [
        next(each for each in outcome.findings if each.code == "pocket_bridges") for outcome in (wide, ribbed)
    ]
    assert [each.severity for each in spans] == ["note", "note"]
    assert [each.measured for each in spans] == pytest.approx([96.0, 18.0], rel=2e-3)
    (bore,) = hold.find(Bore)
    across = bore.clearance_diameter / 2.0 + 1.0
    beside = np.array(
        [[bore.x + dx, bore.y + dy, 0.5] for dx, dy in ((across, 0), (-across, 0), (0, across))]
    )
    assert pocket(ribbed).on_surface(beside).all()


def test_what_cannot_be_relieved_is_refused_in_a_sentence():
    hold = bored(disc(), place="at").hold
    with pytest.raises(ParameterError, match="a pocket between them is at least"):
        relieve(hold, rib_spacing=3.0)
    with pytest.raises(ParameterError, match="make the pocket shallower"):
        relieve(hold, depth=40.0)
    with pytest.raises(ParameterError, match="no true size"):
        relieve(Hold().with_whole(disc()))
    with pytest.raises(GeometryError, match="trim its back first"):
        relieve(disc().moved(placement(shift=np.array([0, 0, 5.0]))))


def test_thin_material_above_the_pocket_is_told():
    assert bare(relieve(disc(height=4.5))) == {"thin_above_pocket": "warning"}
    assert bare(relieve(disc(height=2.5))) == {"thin_above_pocket": "error"}
    dented = Solid.checked(disc().kernel - Manifold.sphere(30.0, 64).translate((0.0, 0.0, 31.0)))
    assert bare(relieve(dented, depth=3.0)) == {"pocket_breaks_through": "error"}
    thin = relieve(bored(disc(height=22.0), place="at", seat="thickness", under_seat=8.0).hold, depth=2.0)
    assert bare(thin) == {"bore_in_pocket": "note", "thin_above_pocket": "warning"}


def test_a_core_stands_in_a_relieved_hold_as_in_a_plain_one():
    """The pocket is no rim and no grip surface: it costs the core nothing and pierces nothing."""
    hold = bored(rock()).hold
    plain, relieved = (
        SplitCore().apply(each, SplitCoreParameters(), RUN) for each in (hold, relieve(hold).hold)
    )
    assert plain.hold.find(PartingFace) == relieved.hold.find(PartingFace)
    assert codes(plain) == codes(relieved)
    for part in (SHELL, CORE):
        assert closed(relieved.hold.solids[part])
    core = plain.hold.solids[CORE].volume - relieved.hold.solids[CORE].volume
    (face,) = plain.hold.find(PartingFace)
    (bore,) = hold.find(Bore)
    low, high = face.wall_diameter / 2.0, face.wall_diameter / 2.0
    high -= (face.wall_diameter - face.top_diameter) / 2.0 / face.top
    cone = math.pi / 3.0 * (low * low + low * high + high * high)
    assert core == pytest.approx(cone - math.pi * (bore.clearance_diameter / 2.0) ** 2, rel=1e-3)


def test_the_pocket_follows_the_hold():
    made = pocket(relieve(disc()))
    moved = made.moved(placement(shift=np.array([5.0, -3.0, 0.0])))
    assert np.allclose(np.mean(moved.drawn[0], axis=0) - np.mean(made.drawn[0], axis=0), [5.0, -3.0])
