"""Friction radii beside elastic contact without tension: a hold on a rigid wall, its washer pressing evenly.

An axisymmetric model on scikit-fem: quadratic elements, no friction, a wall of stiff springs that only push.
It is a yardstick apart from the app's pressure by cones, which it bounds. Shapes that have no axis, and lift,
are compared with figures that we computed once by 3-D elements of the same kind, and kept.
"""

import math
import os
from itertools import pairwise

import numpy as np
import pytest
import skfem
from scipy.sparse.linalg import spsolve
from skfem.helpers import ddot, sym_grad

from holdwright.joint.pressure import ClampCone, kern, reach_of, settle
from outside.test_joint import disc, rectangle, ring

HOLE, POISSON, STIFF = 5.6, 0.38, 2e5
"""Radius of the hole, mm; Poisson's ratio of PETG (from memory); springs of a rigid wall, MPa/mm."""


def lines(ends: set[float], most: float) -> np.ndarray:
    """Coordinates through given ones, at most so far apart."""
    ordered = sorted(ends)
    parts = [
        np.linspace(low, high, math.ceil((high - low) / most) + 1)[:-1] for low, high in pairwise(ordered)
    ]
    return np.concatenate([*parts, ordered[-1:]])


def elastic_radius(
    radius: float,
    seat: float,
    washer: float = 15.0,
    land: float | None = None,
    above: float = 14.0,
    springs: float = STIFF,
    core: float | None = None,
    most: float = 3.0,
) -> float:
    """Friction radius of a disc whose washer (radius) presses `seat` above the wall, mm.

    `land`: inner radius of what a relieved back leaves; `above`: depth of the pocket; `core`: radius of the
    solid core in a shell of 0.2 of its modulus.
    """
    pocket = washer + 0.6
    radii = {HOLE, washer, pocket, radius} | {each for each in (land, core) if each is not None}
    heights = {0.0, seat, seat + above} | ({1.0} if land else set())
    mesh = skfem.MeshQuad.init_tensor(lines(radii, most), lines(heights, most))
    r, z = mesh.p[:, mesh.t].mean(axis=1)
    cut = (r < pocket) & (z > seat) | (r < (land or 0.0)) & (z < 1.0)
    mesh = mesh.remove_elements(np.flatnonzero(cut))
    r = mesh.p[0, mesh.t].mean(axis=0)
    element = skfem.ElementVector(skfem.ElementQuad2())
    body = skfem.Basis(mesh, element, intorder=4)
    modulus = np.where(r < (core or math.inf), 2000.0, 400.0)[:, None] * np.ones(body.X.shape[1])

    @skfem.BilinearForm
    def bends(u, v, w):
        first = w.modulus * POISSON / (1 + POISSON) / (1 - 2 * POISSON)
        eu, ev, hoop_u, hoop_v = sym_grad(u), sym_grad(v), u[0] / w.x[0], v[0] / w.x[0]
        swells = (eu[0, 0] + eu[1, 1] + hoop_u) * (ev[0, 0] + ev[1, 1] + hoop_v)
        return w.x[0] * (first * swells + w.modulus / (1 + POISSON) * (ddot(eu, ev) + hoop_u * hoop_v))

    @skfem.LinearForm
    def presses(v, w):
        return -w.x[0] * v[1]

    @skfem.BilinearForm
    def rests(u, v, w):
        return springs * w.x[0] * w.on * u[1] * v[1]

    def facets(height: float, within: float) -> skfem.FacetBasis:
        found = mesh.facets_satisfying(
            lambda x: (abs(x[1] - height) < 1e-6) & (x[0] < within + 1e-6), boundaries_only=True
        )
        return skfem.FacetBasis(mesh, element, facets=found, intorder=4)

    wall, stiffness = facets(0.0, radius), bends.assemble(body, modulus=modulus)
    load = presses.assemble(facets(seat, washer))
    r = np.asarray(wall.global_coordinates())[0]
    on = np.ones_like(r, dtype=bool)
    for _ in range(60):
        moved = spsolve((stiffness + rests.assemble(wall, on=on.astype(float))).tocsc(), load)
        sunk = -np.asarray(wall.interpolate(moved))[1]
        if ((sunk > 0) == on).all():
            break
        on = sunk > 0
    else:
        raise AssertionError("the contact did not settle")
    carried = np.where(on, sunk, 0.0) * r * wall.dx
    return float((carried * r).sum() / carried.sum())


def cone_radius(outlines: list[np.ndarray], seat: float, washer: float = 15.0) -> float:
    cone = ClampCone(0.0, 0.0, float(reach_of(seat, 2 * washer, 2 * HOLE)), HOLE)
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


@pytest.mark.parametrize("springs", [50.0, 20.0])
def test_a_soft_wall_only_spreads_the_pressure(springs):
    # Plywood gives 20 to 50 MPa/mm: what the cone leaves out is on the safe side.
    assert elastic_radius(35.0, 26.5, above=0.01, springs=springs) > cone_radius(ring(35.0, HOLE), 26.5)


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
