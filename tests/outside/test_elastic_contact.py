"""Friction radii beside elastic contact without tension: a hold on its wall, its washer pressing evenly.

An axisymmetric model on scikit-fem: quadratic elements, no friction, a thin layer that only pushes between
the hold and a rigid wall, or a slab of plywood. It is a yardstick apart from the app's pressure by cones,
which it bounds. Shapes that have no axis, and lift, are compared with figures that we computed once by 3-D
elements of the same kind, and kept.
"""

import math
import os
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pytest
import skfem
from scipy.sparse.linalg import spsolve
from skfem.helpers import sym_grad

from holdwright.joint.holding.cone_reach import RIGID, WallSupport, reach_of
from holdwright.joint.holding.pressure import ClampCone, kern, settle
from outside.test_joint import disc, rectangle, ring

HOLE, POISSON, STIFF, GAP = 5.6, 0.38, 2e5, 0.1
"""Radius of the hole, mm; Poisson's ratio of PETG (from memory); springs of a rigid wall, MPa/mm; thickness
of the layer between hold and wall, mm."""


def lines(ends: set[float], most: float) -> np.ndarray:
    """Coordinates through given ones, at most so far apart."""
    ordered = sorted(ends)
    parts = [
        np.linspace(low, high, math.ceil((high - low) / most) + 1)[:-1] for low, high in pairwise(ordered)
    ]
    return np.concatenate([*parts, ordered[-1:]])


@dataclass(frozen=True)
class Slab:
    """A panel that the flange of a T-nut (radius) pulls against the hold, mm and MPa.

    Moduli of birch plywood: along its face the mean of both ways, square to it, and in shear across it (from
    memory of a published handbook).
    """

    thickness: float = 18.0
    flange: float = 18.0
    along: float = 7000.0
    across: float = 600.0
    shear: float = 200.0
    wide: float = 80.0

    @property
    def stiffness(self) -> np.ndarray:
        """Of strains along r, round, and along z."""
        bare = np.diag([1.0 / self.along, 1.0 / self.along, 1.0 / self.across])
        return np.linalg.inv(bare - (np.ones((3, 3)) - np.eye(3)) * 0.1 / self.along)


def elastic_radius(
    radius: float,
    seat: float,
    washer: float = 15.0,
    land: float | None = None,
    *,
    above: float = 14.0,
    springs: float = STIFF,
    core: float | None = None,
    panel: Slab | None = None,
    most: float = 3.0,
) -> float:
    """Friction radius of a disc whose washer (radius) presses `seat` above the wall, mm.

    `land`: inner radius of what a relieved back leaves; `above`: depth of the pocket; `core`: radius of the
    solid core in a shell of 0.2 of its modulus; `springs`: of the wall, or between a panel and the hold.
    """
    pocket = washer + 0.6
    radii = {HOLE, washer, pocket, radius} | {each for each in (land, core) if each is not None}
    heights = {-GAP, 0.0, seat, seat + above} | ({1.0} if land else set())
    if panel:
        radii, heights = radii | {panel.flange, panel.wide}, heights | {-GAP - panel.thickness}
    mesh = skfem.MeshQuad.init_tensor(lines(radii, most), lines(heights, most))
    r, z = mesh.p[:, mesh.t].mean(axis=1)
    cut = (r < pocket) & (z > seat) | (r < (land or 0.0)) & (z < 1.0) & (z > -GAP) | (r > radius) & (z > -GAP)
    mesh = mesh.remove_elements(np.flatnonzero(cut))
    r, z = mesh.p[:, mesh.t].mean(axis=1)
    gap = (z < 0.0) & (z > -GAP)
    element = skfem.ElementVector(skfem.ElementQuad2())
    body = skfem.Basis(mesh, element, intorder=4, elements=np.flatnonzero(~gap))
    layer = skfem.Basis(mesh, element, intorder=4, elements=np.flatnonzero(gap))
    stiff, shear = moduli(r[~gap], z[~gap], core or math.inf, panel)

    @skfem.BilinearForm
    def bends(u, v, w):
        eu, ev = sym_grad(u), sym_grad(v)
        to = zip((eu[0, 0], u[0] / w.x[0], eu[1, 1]), range(3), strict=True)
        ways = (ev[0, 0], v[0] / w.x[0], ev[1, 1])
        work = sum(w[f"c{min(i, j)}{max(i, j)}"] * each * ways[j] for each, i in to for j in range(3))
        return w.x[0] * (work + 4.0 * w.shear * eu[0, 1] * ev[0, 1])

    @skfem.BilinearForm
    def pushes(u, v, w):
        return w.x[0] * w.on * springs * GAP * sym_grad(u)[1, 1] * sym_grad(v)[1, 1]

    @skfem.LinearForm
    def presses(v, w):
        return -w.x[0] * v[1]

    def load(height: float, within: float) -> np.ndarray:
        facets = mesh.facets_satisfying(
            lambda x: (abs(x[1] - height) < 1e-6) & (x[0] < within + 1e-6), boundaries_only=True
        )
        return presses.assemble(skfem.FacetBasis(mesh, element, facets=facets, intorder=4))

    if panel:
        down, up = load(seat, washer), load(-GAP - panel.thickness, panel.flange)
        loads = down - up * down.sum() / up.sum()
        held = body.nodal_dofs[1][
            [np.argmin(np.hypot(mesh.p[0] - panel.flange, mesh.p[1] - mesh.p[1].min()))]
        ]
    else:
        loads, held = load(seat, washer), body.get_dofs(lambda x: x[1] < -GAP + 1e-6).all("u^2")
    every = np.ones(body.X.shape[1])
    rows = {f"c{i}{j}": np.outer(stiff[i, j], every) for i in range(3) for j in range(i, 3)}
    fixed = bends.assemble(body, shear=np.outer(shear, every), **rows)
    on = np.ones((gap.sum(), len(every)), dtype=bool)
    for _ in range(60):
        matrix = (fixed + pushes.assemble(layer, on=np.where(on, 1.0, 1e-9))).tocsc()
        free = np.setdiff1d(np.flatnonzero(matrix.diagonal() > 0.0), held)
        moved = np.zeros(len(loads))
        moved[free] = spsolve(matrix[free][:, free], loads[free])
        sunk = -np.asarray(layer.interpolate(moved).grad)[1, 1]
        if ((sunk > 0.0) != on).sum() <= 1:  # one may go on and off for ever
            break
        on = sunk > 0.0
    else:
        raise AssertionError("the contact did not settle")
    r = np.asarray(layer.global_coordinates())[0]
    carried = np.where(on, sunk, 0.0) * r * layer.dx
    return float((carried * r).sum() / carried.sum())


def moduli(r: np.ndarray, z: np.ndarray, core: float, panel: Slab | None) -> tuple[np.ndarray, np.ndarray]:
    """Stiffness (3, 3, n) of elements and their modulus of shear (n,), MPa."""
    modulus = np.where(r < core, 2000.0, 400.0)
    shear = modulus / 2.0 / (1.0 + POISSON)
    stiff = 2.0 * shear * (np.eye(3)[:, :, None] + POISSON / (1.0 - 2.0 * POISSON))
    if panel:
        stiff[:, :, z < 0.0] = panel.stiffness[:, :, None]
        shear[z < 0.0] = panel.shear
    return stiff, shear


def cone_radius(
    outlines: list[np.ndarray], seat: float, washer: float = 15.0, wall: WallSupport = RIGID
) -> float:
    cone = ClampCone(0.0, 0.0, float(reach_of(seat, 2 * washer, 2 * HOLE, wall)), HOLE)
    return settle(outlines, [cone]).friction_radius


whole_grid = pytest.mark.skipif(
    "HOLDWRIGHT_ELASTIC_GRID" not in os.environ, reason="takes a minute; HOLDWRIGHT_ELASTIC_GRID=1 runs it"
)


def test_the_model_gives_what_a_finer_one_does():
    assert elastic_radius(30.0, 15.0) == pytest.approx(elastic_radius(30.0, 15.0, most=1.5), rel=0.01)


@pytest.mark.parametrize(
    ("shape", "known"),
    [
        # A disc of 120 mm, 40 mm thick; one pressed on its face, of any size; lands of a relieved back.
        ({"radius": 60.0, "seat": 26.5}, 18.4),
        ({"radius": 30.0, "seat": 26.5, "above": 0.01}, 16.7),
        pytest.param({"radius": 80.0, "seat": 26.5, "above": 0.01}, 16.9, marks=whole_grid),
        ({"radius": 60.0, "seat": 26.5, "land": 42.0}, 44.0),
        # A solid core in a soft shell.
        ({"radius": 60.0, "seat": 26.5, "above": 0.01, "core": 29.0}, 16.2),
        ({"radius": 60.0, "seat": 26.5, "above": 0.01, "core": 58.0}, 16.7),
    ],
)
def test_known_figures_are_met_by_both(shape, known):
    assert elastic_radius(**shape) == pytest.approx(known, rel=0.04)
    outlines = ring(shape["radius"], shape.get("land") or HOLE)
    assert cone_radius(outlines, shape["seat"]) == pytest.approx(known, rel=0.15)


@pytest.mark.parametrize(
    ("radius", "land", "seat", "washer"),
    [
        (40.0, None, 15.0, 20.0),
        (40.0, None, 60.0, 10.0),
        (60.0, 25.0, 15.0, 10.0),
        (60.0, 25.0, 60.0, 20.0),
        (60.0, 45.0, 15.0, 15.0),
        *(
            pytest.param(radius, land, seat, washer, marks=whole_grid)
            for radius, land in [(40.0, None), (90.0, None), (60.0, 25.0), (60.0, 45.0)]
            for seat in (15.0, 26.5, 60.0)
            for washer in (10.0, 15.0, 20.0)
        ),
    ],
)
def test_the_cone_is_within_15_percent_of_elastic_contact(radius, land, seat, washer):
    outlines = ring(radius, land or HOLE)
    elastic = elastic_radius(radius, seat, washer, land)
    assert cone_radius(outlines, seat, washer) == pytest.approx(elastic, rel=0.15)


@pytest.mark.parametrize(
    ("springs", "radius", "land", "seat", "known"),
    [
        (50.0, 40.0, None, 15.0, 19.6),
        (20.0, 40.0, None, 15.0, 22.5),
        (33.0, 60.0, None, 15.0, None),
        (20.0, 60.0, 25.0, 26.5, None),
        *(
            pytest.param(springs, radius, land, seat, None, marks=whole_grid)
            for radius, land in [(40.0, None), (90.0, None), (60.0, 25.0), (60.0, 45.0)]
            for seat in (15.0, 26.5, 60.0)
            for springs in (100.0, 33.0, 20.0)
        ),
    ],
)
def test_springs_of_a_soft_wall_spread_the_pressure(springs, radius, land, seat, known):
    # Plywood that rests on something rigid gives 20 to 50 MPa/mm.
    elastic = elastic_radius(radius, seat, land=land, springs=springs)
    wall = WallSupport(2000.0 / springs)
    assert cone_radius(ring(radius, land or HOLE), seat, wall=wall) == pytest.approx(elastic, rel=0.15)
    assert known is None or elastic == pytest.approx(known, rel=0.06)


@pytest.mark.parametrize(
    ("panel", "radius", "land", "seat", "washer"),
    [
        (Slab(), 60.0, None, 15.0, 15.0),
        (Slab(15.0, 12.5), 60.0, None, 60.0, 15.0),
        (Slab(), 60.0, 42.0, 26.5, 15.0),
        *(
            pytest.param(Slab(thickness, flange), 60.0, land, seat, washer, marks=whole_grid)
            for land in (None, 25.0)
            for thickness in (15.0, 25.0)
            for flange in (12.5, 18.0)
            for seat in (15.0, 26.5, 60.0)
            for washer in (10.0, 20.0)
        ),
    ],
)
def test_a_panel_that_its_t_nut_pulls_presses_back_round_the_bolt(panel, radius, land, seat, washer):
    elastic = elastic_radius(radius, seat, washer, land, panel=panel, most=4.0)
    wall = WallSupport.of(2.0, panel.across / 1000.0, panel.thickness, 2 * panel.flange, 2 * HOLE)
    assert cone_radius(ring(radius, land or HOLE), seat, washer, wall) == pytest.approx(elastic, rel=0.15)


@pytest.mark.parametrize(("radius", "known"), [(30.0, 16.7), (80.0, 16.9)])
def test_the_size_of_a_flat_back_hardly_counts(radius, known):
    # Pressed on its face; elastic figures as above.
    assert cone_radius(ring(radius, HOLE), 26.5) == pytest.approx(known, rel=0.15)


def test_a_bar_by_3d_elements():
    # 300 mm long: 20.1 mm, our own 3-D elastic computation.
    bar = [rectangle(300.0, 80.0), disc(HOLE)[::-1]]
    assert cone_radius(bar, 26.5) == pytest.approx(20.1, rel=0.15)


@pytest.mark.parametrize(
    ("back", "seat", "known"),
    [
        (disc(60.0), 26.5, 15.0),
        (disc(40.0), 26.5, 11.0),
        (disc(60.0), 16.0, 7.5),
        (rectangle(240.0, 80.0), 26.5, 14.0),
    ],
)
def test_the_gap_reaches_the_washer_where_3d_elements_have_it(back, seat, known):
    # Where the resultant goes through then, mm from the bolt along x: our own 3-D elastic computation.
    cone = ClampCone(0.0, 0.0, float(reach_of(seat, 30.0, 2 * HOLE)), HOLE, 15.0)
    assert kern([back], [cone])[0] == pytest.approx([known, 0.0], rel=0.15, abs=1e-3)
