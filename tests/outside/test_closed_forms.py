"""Our solids against closed forms that any handbook of mathematics has, through functions and whole recipes.

The formulas are those of solid geometry (cap, frustum, ellipsoid, torus, Pappus' theorem; e.g. Bronshtein and
Semendyayev, Handbook of Mathematics, chapter on stereometry; quoted from memory). Centres of mass and
closedness are judged by trimesh, a general mesh library that takes no part in the work.
"""

import math

import numpy as np
import pytest
import trimesh
from manifold3d import CrossSection, Manifold

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole, hole_cutter
from holdwright.geometry.measure.solid_figures import measure
from holdwright.geometry.mesh.boolean import cut_by_plane
from holdwright.geometry.mesh.circle import circle_points
from holdwright.geometry.mesh.frustum import Frustum
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore, PartingFace, Rim
from holdwright.hold.hold import CORE, SHELL, Hold
from holdwright.operations.base import Run
from holdwright.operations.cut_bore import CutBore, CutBoreParameters
from holdwright.operations.import_sculpt import ImportSculpt, ImportSculptParameters
from holdwright.operations.orient_to_base import OrientToBase, OrientToBaseParameters
from holdwright.operations.scale_to_envelope import ScaleToEnvelope, ScaleToEnvelopeParameters
from holdwright.operations.split_core import SplitCore, SplitCoreParameters
from holdwright.operations.trim_base import TrimBase
from holdwright.operations.trim_parameters import TrimBaseParameters
from holdwright.parameters.kinds import PointPick
from sculpts import piece, sculpt, turned
from shapes import block, frustum, sphere

UP = (0.0, 0.0, 1.0)
ORIGIN = (0.0, 0.0, 0.0)


def disc(radius: float) -> float:
    return math.pi * radius**2


def cone(low: float, high: float, height: float) -> float:
    """Volume of a frustum."""
    return math.pi / 3 * height * (low * low + low * high + high * high)


def cap(radius: float, height: float) -> float:
    """Volume of a spherical cap."""
    return math.pi / 3 * height * height * (3 * radius - height)


def mesh_of(solid: Solid) -> trimesh.Trimesh:
    mesh = trimesh.Trimesh(solid.vertices, solid.triangles, process=False)
    assert mesh.is_watertight
    return mesh


def ball(radius: float = 50.0, segments: int = 400) -> Solid:
    """A ball whose mesh has the true volume: its corners stand a little outside the sphere."""
    raw = Manifold.sphere(radius, segments)
    return Solid.checked(raw.scale([(4 / 3 * math.pi * radius**3 / raw.volume()) ** (1 / 3)] * 3))


# Functions


@pytest.mark.parametrize(
    ("sizes", "expected"),
    [
        # M10: 11 mm through 20 mm, then 18 mm through 11 mm; Pappus: 2 pi 3.57894737 x 209.
        ((20.0, 11.0, 18.0, 31.0), 4699.822610),
        # 3/8 inch: 0.406 in through 0.75 in, then 1.0625 in through 0.5 in.
        ((0.75 * 25.4, 0.406 * 25.4, 1.0625 * 25.4, 1.25 * 25.4), 8855.845777),
    ],
)
def test_volume_of_a_bore(sizes, expected):
    seat, hole, pocket, top = sizes
    cutter = hole_cutter(Hole(0.0, 0.0, seat, hole, pocket, pocket - 1), 0.0, top)
    assert cutter.volume == pytest.approx(expected, rel=1e-9)
    assert cutter.volume == pytest.approx(disc(hole / 2) * seat + disc(pocket / 2) * (top - seat), rel=2e-9)


def test_frustum_volume_centre_and_area():
    solid = Frustum(ORIGIN, UP, 60.0, 35.0, 45.0).solid
    assert solid.volume == pytest.approx(cone(60, 35, 45), rel=1e-12)
    assert cone(60, 35, 45) == pytest.approx(326332.936892, rel=1e-11)
    centre = 45 / 4 * (60**2 + 2 * 60 * 35 + 3 * 35**2) / (60**2 + 60 * 35 + 35**2)
    assert mesh_of(solid).center_mass == pytest.approx([0, 0, centre], abs=1e-9)
    lateral = math.pi * (60 + 35) * math.hypot(25, 45)
    assert measure(solid).area_mm2 == pytest.approx(lateral + disc(60) + disc(35), rel=2e-4)  # 128 sides


def test_bored_frustum_volume_and_centre():
    solid = Frustum(ORIGIN, UP, 60.0, 35.0, 45.0).solid
    cut = cut_hole(solid, Hole(0.0, 0.0, 34.0, 11.0, 18.0, 16.0))
    hole, pocket = disc(5.5) * 34, disc(9) * 11
    assert cut.removed == pytest.approx(hole + pocket, rel=1e-9)
    assert cut.solid.volume == pytest.approx(320302.649793, rel=1e-9)
    assert mesh_of(cut.solid).center_mass[2] == pytest.approx(18.475974813, rel=1e-8)


def test_leaning_hole_through_a_slab():
    """A cylinder at an angle through a slab takes out its section times the slanting length."""
    lean = math.radians(20)
    shape = Hole(0.0, 0.0, 80.0, 11.0, 18.0, 16.0, (math.sin(lean), 0.0, math.cos(lean)))
    removed = cut_hole(block(200, 100, 40), shape).removed
    assert removed == pytest.approx(disc(5.5) * 40 / math.cos(lean), rel=1e-9)
    assert removed == pytest.approx(4045.287817, rel=1e-9)


def test_trimmed_ball():
    kept = cut_by_plane(ball(), np.array(UP), -20.0)
    assert 4 / 3 * math.pi * 50**3 - cap(50, 30) == pytest.approx(410501.440069, rel=1e-11)
    assert kept.volume == pytest.approx(410501.440069, rel=5e-5)
    assert mesh_of(kept).center_mass[2] == pytest.approx(8.4375, abs=2e-3)
    assert kept.area == pytest.approx(21991.148575 + 6597.344573, rel=2e-4)


def test_bored_hemisphere():
    """11 mm up to a seat at 25 mm, 18 mm from there out through the dome of a hemisphere of 50 mm."""
    half = cut_by_plane(ball(), np.array(UP), 0.0)
    cut = cut_hole(half, Hole(0.0, 0.0, 25.0, 11.0, 18.0, 16.0))
    lip = math.sqrt(50**2 - 9**2)
    assert disc(9) * (lip - 25) + cap(50, 50 - lip) == pytest.approx(6258.101779, rel=1e-9)
    assert cut.removed == pytest.approx(2375.829444 + 6258.101779, rel=2e-4)
    assert cut.solid.volume == pytest.approx(253165.456575, rel=5e-5)
    assert mesh_of(cut.solid).center_mass[2] == pytest.approx(18.350169179, abs=2e-3)


def test_chamfered_back_of_a_disc():
    """A chamfer of 2 mm takes its triangle times the path of its centroid (Pappus)."""
    cylinder = Hold(sized=True).with_whole(Frustum(ORIGIN, UP, 60.0, 60.0, 30.0).solid)
    volumes = [
        TrimBase()
        .apply(
            cylinder, TrimBaseParameters(by="height", height=5.0, rim=4.0, chamfer=leg), Run(load_catalogue())
        )
        .hold.whole.volume
        for leg in (0.0, 2.0)
    ]
    assert volumes[0] == pytest.approx(disc(60) * 29, rel=1e-9)
    assert 2 * math.pi * (60 - 2 / 3) * 2 == pytest.approx(745.604656, rel=1e-8)
    assert volumes[0] - volumes[1] == pytest.approx(745.604656, rel=1e-3)  # 128 sides


def test_torus_ellipsoid_and_cylinder():
    ring = Manifold.revolve(CrossSection([circle_points(10.0, 256) + np.array([60.0, 0.0])]), 512)
    assert ring.volume() == pytest.approx(2 * math.pi * 60 * disc(10), rel=1e-4)
    half = cut_by_plane(ball(), np.array(UP), 0.0)
    stretched = half.moved(np.diag([70 / 50, 45 / 50, 35 / 50, 1.0]))
    assert stretched.volume == pytest.approx(2 / 3 * math.pi * 70 * 45 * 35, rel=5e-5)
    assert mesh_of(stretched).center_mass[2] == pytest.approx(3 / 8 * 35, abs=2e-3)
    assert Frustum(ORIGIN, UP, 30.0, 30.0, 60.0).solid.volume == pytest.approx(169646.003294, rel=1e-11)


# Whole recipes


@pytest.fixture(scope="module")
def run() -> Run:
    return Run(load_catalogue())


def tumbled(solid: Solid, factor: float):
    """A sculpt of the solid, turned any way and in units of its own."""
    generator = np.random.default_rng(11)
    rotation = np.linalg.qr(generator.normal(size=(3, 3)))[0]
    rotation[:, 0] *= np.sign(np.linalg.det(rotation))
    return turned(sculpt(piece("sculpt", solid)), rotation, factor), rotation


def finished(source, run: Run, *, unit="by envelope", orient=None, scale=None, trim=None, bore=None) -> Hold:
    hold = Hold(sculpt=source)
    for operation, parameters in (
        (ImportSculpt(), ImportSculptParameters(unit=unit)),
        (OrientToBase(), OrientToBaseParameters(**(orient or {}))),
        (ScaleToEnvelope(), ScaleToEnvelopeParameters(detail=0.0, **(scale or {}))),
        (TrimBase(), TrimBaseParameters(by="height", **(trim or {}))),
        (CutBore(), CutBoreParameters(place="at", **(bore or {}))),
    ):
        hold = operation.apply(hold, parameters, run).hold
    return hold


def split(hold: Hold, run: Run, **parameters) -> Hold:
    return SplitCore().apply(hold, SplitCoreParameters(**parameters), run).hold


def check_core(hold: Hold, whole: float, bore: Bore) -> None:
    """The core is a frustum less the bore in it, and shell and core are the whole."""
    (face,) = hold.find(PartingFace)
    outline = cone(face.wall_diameter / 2, face.top_diameter / 2, face.top)
    within = disc(bore.clearance_diameter / 2) * bore.seat_z
    within += disc(bore.pocket_diameter / 2) * (face.top - bore.seat_z)
    core, shell = hold.solids[CORE], hold.solids[SHELL]
    assert core.volume == pytest.approx(outline - within, rel=1e-9)
    assert core.volume + shell.volume == pytest.approx(whole, rel=1e-12)
    assert abs(mesh_of(core).volume) == pytest.approx(core.volume, rel=1e-9)
    assert abs(mesh_of(shell).volume) == pytest.approx(shell.volume, rel=1e-9)


def test_block_from_sculpt_to_parts(run):
    """100 x 80 x 40 mm, modelled 8 times too small: 5 mm off its back, 3 mm of rim drawn on."""
    source, _ = tumbled(block(100, 80, 40), 0.125)
    hold = finished(
        source,
        run,
        scale={"diameter": math.hypot(100, 80)},
        trim={"height": 5.0, "rim": 3.0},
        bore={"seat": "thickness", "under_seat": 14.0},
    )
    (bore,), (rim,) = hold.find(Bore), hold.find(Rim)
    removed = disc(bore.clearance_diameter / 2) * 14 + disc(bore.pocket_diameter / 2) * (38 - 14)
    assert rim.area == pytest.approx(8000.0, rel=1e-9)
    assert bore.seat_z == pytest.approx(14.0)
    assert hold.whole.volume == pytest.approx(100 * 80 * 38 - removed, rel=1e-8)
    check_core(split(hold, run, wall_diameter=60.0, top_diameter=52.0), hold.whole.volume, bore)


def test_ball_from_sculpt_to_parts(run):
    """A ball of 50 mm cut 30 mm above its lowest point, bored from the top."""
    source, rotation = tumbled(sphere(50.0, 400), 0.02)
    down = rotation @ np.array([0.0, 0.0, -1.0])
    hold = finished(
        source,
        run,
        orient={"by": "plane", "plane": PointPick(point=ORIGIN, normal=tuple(down))},
        scale={"diameter": 100.0},
        trim={"height": 30.0, "rim": 0.0},
        bore={"seat": "depth", "depth": 45.0},
    )
    (bore,), (rim,) = hold.find(Bore), hold.find(Rim)
    hole, pocket = bore.clearance_diameter / 2, bore.pocket_diameter / 2
    lip = math.sqrt(50**2 - pocket**2)
    removed = disc(hole) * 25 + disc(pocket) * (20 + lip - 25) + cap(50, 50 - lip)
    assert rim.area == pytest.approx(6597.344573, rel=5e-4)
    assert bore.seat_z == pytest.approx(25.0, abs=1e-3)
    assert hold.whole.volume == pytest.approx(410501.440069 - removed, rel=5e-4)
    check_core(split(hold, run), hold.whole.volume, bore)


def test_cone_from_sculpt_to_parts(run):
    """A frustum of 60 and 35 mm, 45 mm high, modelled in inches; its wide end is found to be the back."""
    source, _ = tumbled(frustum(60.0, 35.0, 45.0, 256), 1 / 25.4)
    hold = finished(
        source,
        run,
        unit="inch",
        scale={"rule": "factor", "factor": 1.0},
        trim={"height": 9.0, "rim": 2.0},
        bore={"seat": "thickness", "under_seat": 20.0},
    )
    (bore,) = hold.find(Bore)
    at_cut = 60 - 25 * 9 / 45
    polygon = 256 / 2 * math.sin(2 * math.pi / 256) / math.pi  # the sculpt's circles are inscribed
    solid = (cone(at_cut, 35, 36) + disc(at_cut) * 2) * polygon
    removed = disc(bore.clearance_diameter / 2) * 20 + disc(bore.pocket_diameter / 2) * (38 - 20)
    assert hold.whole.volume == pytest.approx(solid - removed, rel=1e-8)
    assert (bore.x, bore.y) == pytest.approx((0.0, 0.0), abs=1e-6)
    check_core(split(hold, run), hold.whole.volume, bore)
