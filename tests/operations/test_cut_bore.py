"""The step that bores a hold: what it gives, what it says, what it refuses."""

import tracemalloc
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh
from manifold3d import Manifold
from pydantic import ValidationError

from boring import CATALOGUE, bored, codes, rock
from holdwright.errors import CatalogueError, GeometryError, ParameterError
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.solid import Solid, kernel_of
from holdwright.hold.feature import Bore
from holdwright.hold.hold import Hold
from holdwright.joint.conditions import conditions
from holdwright.operations.base import Run
from holdwright.operations.cut_bore import CutBore, CutBoreParameters
from holdwright.parameters.describe import describe
from shapes import block, boulder

SHARED = Path(__file__).resolve().parents[3] / "shared" / "meshes"


def test_defaults_bore_a_rock_for_m10_with_its_large_washer():
    run = Run(CATALOGUE)
    hold = Hold(sized=True).with_whole(rock())
    outcome = CutBore().apply(hold, CutBoreParameters(), run)
    [bore] = outcome.hold.find(Bore)
    assert (bore.clearance_diameter, bore.pocket_diameter) == (11.0, 31.0)
    assert (bore.screw, bore.washer) == ("M10 socket cap ISO 4762", "M10 large washer ISO 7093")
    [why] = outcome.findings
    assert (why.code, why.severity) == ("place_chosen", "note")
    assert ". Here the least margin is " in why.message
    assert why.message.endswith("Reckoned for 12 N m, PETG, 2 x 80 kg.")
    assert outcome.result.startswith(f"seat {bore.thickness_under_seat:.1f} mm thick")
    assert outcome.hold.whole.genus == 1
    assert len(outcome.hold.whole.kernel.decompose()) == 1
    assert "place of the bore" in run.stopwatch.seconds
    # The whole bore is open to the air and to the wall.
    middle = outcome.hold.whole.kernel ^ Manifold.cylinder(400, 5.4, 5.4, 32).translate((bore.x, bore.y, -50))
    assert middle.num_tri() == 0


def test_bare_head_in_a_block_removes_what_pappus_says():
    # 11 mm through 20, 18 mm above: 4699.822610 mm3 in a block 31 high.
    solid = block(100, 80, 31)
    outcome = bored(solid, washer=None, place="at", seat="thickness", under_seat=20.0)
    assert solid.volume - outcome.hold.whole.volume == pytest.approx(4699.822610, rel=1e-7)
    [bore] = outcome.hold.find(Bore)
    assert (bore.seat_z, bore.thickness_under_seat, bore.washer) == (20.0, pytest.approx(20.0), None)
    assert codes(outcome) == {}


@pytest.mark.parametrize("word", ["none", "None", " none ", "", None])
def test_no_washer_by_word(word):
    assert CutBoreParameters(washer=word).washer is None


def test_hemisphere_as_in_the_formula():
    # R50, 11 mm to a seat at 25 below the pole, 18 mm above: 8633.931224 mm3 removed.
    half = Solid.checked(Manifold.sphere(50.0, 512).trim_by_plane((0, 0, 1), 0.0))
    outcome = bored(half, washer="none", place="at", seat="depth", depth=25.0)
    assert half.volume - outcome.hold.whole.volume == pytest.approx(8633.931224, rel=1e-4)


@pytest.mark.parametrize(
    ("screw", "fit", "hole"),
    [("M8", "fine", 8.4), ("M10", "coarse", 12.0), ("M12", "medium", 13.5)],
)
def test_hole_follows_screw_and_fit(screw, fit, hole):
    outcome = bored(block(), screw=f"{screw} socket cap ISO 4762", washer=f"ISO 7089 {screw}", fit=fit)
    [bore] = outcome.hold.find(Bore)
    assert bore.clearance_diameter == hole
    [wider] = bored(
        block(), screw=f"{screw} socket cap ISO 4762", washer=None, fit=fit, hole_allowance=0.3
    ).hold.find(Bore)
    assert wider.clearance_diameter == pytest.approx(hole + 0.3)


def test_off_centre_near_the_edge():
    outcome = bored(block(100, 80, 40), place="at", at=(30.0, 0.0))
    assert codes(outcome) == {"thin_wall_at_pocket": "warning"}
    [finding] = outcome.findings
    assert finding.measured == pytest.approx(4.5, abs=0.01)
    assert finding.limit == 8.0
    assert finding.where[0] == pytest.approx(50.0)
    closer = bored(block(100, 80, 40), place="at", at=(42.0, 0.0))
    assert codes(closer) == {
        "thin_wall_at_bore": "error",
        "thin_wall_at_pocket": "error",
        "near_edge": "error",
        "seat_broken": "error",
    }


def test_off_the_base_is_refused_with_the_way_back():
    with pytest.raises(ParameterError, match=r"10\.0 mm off the back; the nearest edge.*at 50\.0, 5\.0 mm"):
        bored(block(100, 80, 40), place="at", at=(60.0, 5.0))


@pytest.mark.parametrize("place", ["found", "at"])
def test_no_flat_back_is_refused(place):
    with pytest.raises(GeometryError, match="no flat back"):
        bored(Solid.checked(block().kernel.translate((0, 0, 5.0))), place=place)


def test_hollow_back_under_the_seat():
    hollow = Solid.checked(block().kernel - Manifold.cube((30, 30, 22), True).translate((17, 0, 10)))
    outcome = bored(hollow, place="at", seat="depth", depth=13.0)
    finding = next(each for each in outcome.findings if each.code == "thin_under_seat")
    assert finding.measured == pytest.approx(6.0)
    assert finding.severity == "warning"
    assert outcome.hold.find(Bore)[0].thickness_under_seat == pytest.approx(6.0)


def test_thin_hold_is_bored_as_well_as_it_can_be():
    outcome = bored(block(100, 80, 8))
    assert codes(outcome) == {"thin_under_seat": "warning", "head_proud": "note"}
    [bore] = outcome.hold.find(Bore)
    assert bore.seat_z == pytest.approx(7.5)
    thinner = bored(block(100, 80, 3))
    assert codes(thinner)["thin_under_seat"] == "error"


def test_overhanging_lip_is_told():
    lip = Manifold.cube((100, 80, 20), True).translate((0, 0, 10))
    lip += Manifold.cube((60, 80, 8), True).translate((20, 0, 44))
    lip += Manifold.cube((8, 80, 40), True).translate((46, 0, 20))
    outcome = bored(Solid.checked(lip), place="at", at=(0.0, 0.0), under_seat=7.0)
    finding = next(each for each in outcome.findings if each.code == "lip_cut")
    half = np.arccos(-10 / 15.5)
    assert finding.measured == pytest.approx(15.5**2 * (half - np.sin(half) * np.cos(half)) * 8, rel=0.03)
    found = bored(Solid.checked(lip), under_seat=7.0)
    assert "lip_cut" not in codes(found)


def test_tall_column_gets_a_deep_pocket_by_thickness():
    column = Solid.checked(Manifold.cylinder(150.0, 40.0, 30.0, 96))
    outcome = bored(column, seat="thickness", under_seat=15.0)
    [bore] = outcome.hold.find(Bore)
    assert bore.thickness_under_seat == pytest.approx(15.0)
    # 150 less 15 for the seat, 2.5 for the washer and 10 for the head.
    assert codes(outcome) == {"head_deep": "warning"}
    [deep] = [each for each in outcome.findings if each.code == "head_deep"]
    assert deep.measured == pytest.approx(122.5)
    assert abs(bore.x) < 1.0


def test_seat_asked_for_too_high_is_moved_and_told():
    slope = boulder(55.0, 0.25, 1).kernel.trim_by_plane((0, 0, 1), -20.0).translate((0, 0, 20.0))
    outcome = bored(Solid.checked(slope), place="at", seat="depth", depth=0.2)
    assert codes(outcome)["seat_moved"] == "note"


def test_slivers_are_dropped_and_told():
    stem = Manifold.cylinder(20.0, 40.0, 40.0, 96) + Manifold.cylinder(20.0, 12.0, 12.0, 96).translate(
        (0, 0, 19)
    )
    cap = Manifold.cylinder(1.0, 16.0, 16.0, 96).translate((0, 0, 30.0))
    outcome = bored(Solid.checked(stem + cap), place="at", seat="thickness")
    assert codes(outcome)["sliver_left"] == "warning"
    assert len(outcome.hold.whole.kernel.decompose()) == 1


def test_washer_that_does_not_fit_and_unknown_names():
    with pytest.raises(ParameterError, match="choose a washer for M12"):
        bored(block(), screw="M12 socket cap ISO 4762")
    with pytest.raises(ParameterError, match="choose a washer for M8"):
        bored(block(), screw="M8 socket cap ISO 4762", washer="ISO 7094 M12")
    with pytest.raises(CatalogueError, match="no such row"):
        bored(block(), screw="M11")
    for wrong in ({"under_seat": 0.0}, {"wall": -1.0}, {"fit": "loose"}, {"at": (1.0,)}, {"seat": "deep"}):
        with pytest.raises(ValidationError):
            CutBoreParameters(**wrong)


def test_rows_it_depends_on():
    rows = CutBore().rows(CutBoreParameters(), CATALOGUE)
    assert [row.name for row in rows[:2]] == ["M10 socket cap ISO 4762", "M10 large washer ISO 7093"]
    # A place that is found depends on what joints are usually reckoned for, one that is given does not.
    assert rows[2] == conditions(CATALOGUE)
    assert len(CutBore().rows(CutBoreParameters(washer=None, place="at"), CATALOGUE)) == 1
    thicker = replace(CATALOGUE.washers[0], thickness=9.0)
    assert thicker != CATALOGUE.washers[0]


def test_every_parameter_is_described():
    fields = {field.name: field for field in describe(CutBoreParameters)}
    assert fields["screw"].rows == "screws"
    assert (fields["washer"].rows, fields["washer"].optional) == ("washers", True)
    assert fields["at"].kind == "position"
    assert all(field.description.endswith(".") for field in fields.values())


@pytest.mark.shared
@pytest.mark.skipif(not SHARED.is_dir(), reason="the shared folder of real meshes is not there")
@pytest.mark.parametrize("name", ["mesh/hermione.obj", "mesh/skull_low.obj", "derived/rock_far_origin.obj"])
def test_real_meshes_at_120_mm(name):
    mesh = trimesh.load(SHARED / name, force="mesh")
    mesh.merge_vertices(merge_tex=True, merge_norm=True)
    kernel = max(
        kernel_of(Mesh(np.array(mesh.vertices), np.array(mesh.faces))).decompose(),
        key=lambda piece: piece.volume(),
    )
    low, high = np.array(kernel.bounding_box()).reshape(2, 3)
    kernel = kernel.translate(tuple(-(low + high) / 2)).scale((120.0 / (high - low).max(),) * 3)
    height = kernel.bounding_box()[2] * 0.4
    kernel = kernel.trim_by_plane((0, 0, 1), height).translate((0, 0, -height))
    solid = Solid.checked(max(kernel.decompose(), key=lambda piece: piece.volume()))
    outcome = bored(solid)
    [bore] = outcome.hold.find(Bore)
    lost = solid.kernel ^ Manifold.cylinder(300, 5.5, 5.5, 128).translate((bore.x, bore.y, -50))
    assert solid.volume - outcome.hold.whole.volume >= float(lost.volume()) * 0.999
    assert bore.thickness_under_seat >= 12.0 - 1e-6
    assert "error" not in codes(outcome).values()
    assert all(np.isfinite(finding.measured) for finding in outcome.findings)


def test_countersunk_screw_has_its_cone():
    solid = block(100, 80, 40)
    outcome = bored(solid, screw="M10 ISO 10642", washer=None, place="at", seat="thickness", under_seat=14.0)
    [bore] = outcome.hold.find(Bore)
    assert (bore.cone_angle, bore.pocket_diameter) == (90.0, pytest.approx(22.9))
    # Hole, cone and pocket by hand; the mouth is 0.5 mm wider than the sharp head.
    hole, pocket, cone = 5.5, 11.45, 5.95
    volume = np.pi * (
        hole**2 * 14 + cone * (hole**2 + hole * pocket + pocket**2) / 3 + pocket**2 * (40 - 14 - cone)
    )
    assert solid.volume - outcome.hold.whole.volume == pytest.approx(volume, rel=1e-6)


def test_countersunk_screw_takes_no_washer():
    with pytest.raises(ParameterError, match="countersunk head takes no washer"):
        bored(block(), screw="M10 ISO 10642")


@pytest.mark.parametrize("name", CATALOGUE.names("screws"))
def test_every_screw_of_the_catalogue_can_be_bored_for(name):
    outcome = bored(block(), screw=name, washer=None, place="at")
    [bore] = outcome.hold.find(Bore)
    screw = CATALOGUE.screw(name)
    assert bore.screw == name
    assert bore.clearance_diameter > screw.d
    assert bore.pocket_diameter > screw.head.diameter
    assert outcome.hold.whole.genus == 1


def test_long_straight_faces_cost_no_memory():
    """Outlines are looked at only where they are near the axis, however long the hold is."""
    tracemalloc.start()
    try:
        outcome = bored(block(9000.0, 40.0, 4000.0), place="at", at=(0.0, 0.0))
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    [thin] = [finding for finding in outcome.findings if finding.code == "thin_wall_at_pocket"]
    assert thin.measured == pytest.approx(4.5, abs=0.011)
    assert peak < 200e6
