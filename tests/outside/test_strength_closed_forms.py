"""Stress and stretch of bodies beside closed forms of elasticity, turned and off the grid.

Bars, ring and plate with a hole: Timoshenko and Goodier, "Theory of elasticity", 3rd ed. 1970, chapters 3
and 4 (Lame, Kirsch); plate: Timoshenko and Woinowsky-Krieger, "Theory of plates and shells", 2nd ed. 1959,
section 16, with the deflection by shear of Reissner's theory (J. Appl. Mech. 12, 1945). All from memory of
these books.
"""

import math
import os

import numpy as np
import pytest
from manifold3d import CrossSection, Manifold

from outside.elastic_bodies import NU, TURNS, E, LooseBody, grid_of

every_turn = pytest.mark.skipif(
    "HOLDWRIGHT_STRENGTH_CASES" not in os.environ,
    reason="takes minutes; HOLDWRIGHT_STRENGTH_CASES=1 runs it",
)
one_turn_or_all = pytest.mark.parametrize(
    "turned", [TURNS[1], *(pytest.param(each, marks=every_turn) for each in (TURNS[0], TURNS[2]))]
)


def on_end(x: float, y: np.ndarray, z: np.ndarray) -> np.ndarray:
    return np.column_stack([np.full(len(y), x), y, z])


@one_turn_or_all
def test_a_bar_that_is_pulled(turned):
    length, wide, high, pull = 80.0, 20.0, 16.0, 1000.0
    bar = LooseBody(Manifold.cube((length, wide, high), True), turned)
    assert bar.grid.volume == pytest.approx(bar.solid.volume, rel=1e-3)
    y, z = grid_of((wide, 40), (high, 40))
    each = np.array([[pull / len(y), 0.0, 0.0]])
    ends = np.concatenate([on_end(-length / 2, y, z), on_end(length / 2, y, z)])
    bar.load(ends, np.concatenate([np.repeat(-each, len(y), axis=0), np.repeat(each, len(y), axis=0)]))
    assert bar.solved.steps <= 50
    inner = bar.moved(np.concatenate([on_end(-30.0, y, z), on_end(30.0, y, z)]))[:, 0].reshape(2, -1)
    stress = pull / (wide * high)
    assert inner[1].mean() - inner[0].mean() == pytest.approx(60.0 * stress / E, rel=0.005)
    found = bar.stressed()
    found = found.within(np.abs(found.places[:, 0]) < 30.0)
    assert found.quantile(0.999) == pytest.approx(stress, rel=0.06)
    assert found.exceeded() == pytest.approx(stress, rel=0.03)


@one_turn_or_all
def test_a_cantilever(turned):
    length, wide, high, load = 100.0, 16.0, 20.0, 100.0
    inertia = wide * high**3 / 12.0
    beam = LooseBody(Manifold.cube((length, wide, high), True), turned)
    y, z = grid_of((wide, 20), (high, 100))
    shear = high**2 / 4.0 - z * z
    shear *= load / shear.sum()
    bending = z * load * length / (z * z).sum()
    nothing = np.zeros(len(y))
    clamped, loaded = np.column_stack([bending, nothing, -shear]), np.column_stack([nothing, nothing, shear])
    beam.load(
        np.concatenate([on_end(-length / 2, y, z), on_end(length / 2, y, z)]),
        np.concatenate([clamped, loaded]),
    )
    # Against the tangent at the clamped end's middle; the shear of the exact solution bends no axis.
    x = np.linspace(-45.0, 45.0, 19)
    sag = beam.moved(np.column_stack([x, 0.0 * x, 0.0 * x]))[:, 2]
    exact = load / (E * inertia) * (length / 4.0 * x**2 - x**3 / 6.0)
    straight = np.column_stack([np.ones(len(x)), x])
    sag, exact = (each - straight @ np.linalg.lstsq(straight, each)[0] for each in (sag, exact))
    assert (sag @ exact) / (exact @ exact) == pytest.approx(1.0, abs=0.015)
    found = beam.stressed()
    along, _, across = found.places.T
    surface = (np.abs(along) < 35.0) & (np.abs(across) > high / 2 - 1.2)
    expected = -load * (length / 2.0 - along[surface]) * across[surface] / inertia
    ratio = found.tensor[surface, 0, 0] / expected
    assert np.average(ratio, weights=found.volumes[surface]) == pytest.approx(1.0, abs=0.02)


@one_turn_or_all
def test_a_thick_ring_under_pressure(turned):
    inner, outer, high, pressure = 16.0, 36.0, 16.0, 10.0
    section = CrossSection.circle(outer, 256) - CrossSection.circle(inner, 256)
    ring = LooseBody(Manifold.extrude(section, high).translate((0, 0, -high / 2)), turned)
    around, z = grid_of((2 * math.pi, 360), (high, 24))
    outward = np.column_stack([np.cos(around), np.sin(around), 0.0 * z])

    def at(radius: float) -> np.ndarray:
        return outward * radius + np.column_stack([0.0 * z, 0.0 * z, z])

    ring.load(at(inner), outward * (pressure * 2 * math.pi * inner * high / len(z)))
    factor = pressure * inner**2 / (outer**2 - inner**2)
    for radius in (inner, (inner + outer) / 2, outer):
        exact = factor / E * ((1 - NU) * radius + (1 + NU) * outer**2 / radius)
        assert (ring.moved(at(radius)) * outward).sum(axis=1).mean() == pytest.approx(exact, rel=0.005)
    radii = np.sqrt(np.linspace(inner**2, outer**2, 100_001))
    radial, hoop = factor * (1 - outer**2 / radii**2), factor * (1 + outer**2 / radii**2)
    exact = np.quantile(np.sqrt(radial**2 + hoop**2 - radial * hoop), 0.999)
    assert ring.stressed().quantile(0.999) == pytest.approx(exact, rel=0.10)


@one_turn_or_all
def test_a_plate_with_a_hole(turned):
    # Stresses of an endless plate at the edges of a square: a hole four cells in radius.
    hole, wide, high, pull = 8.0, 96.0, 8.0, 10.0
    section = CrossSection.square((wide, wide), True) - CrossSection.circle(hole, 256)
    plate = LooseBody(Manifold.extrude(section, high).translate((0, 0, -high / 2)), turned)
    along, z = grid_of((wide, 192), (high, 16))
    points, forces = [], []
    area = wide * high / len(along)
    for side in (-1.0, 1.0):
        edge = np.full(len(along), side * wide / 2)
        x, y, xy = kirsch(edge, along, hole, pull)
        points.append(np.column_stack([edge, along, z]))
        forces.append(side * area * np.column_stack([x, xy, 0.0 * x]))
        x, y, xy = kirsch(along, edge, hole, pull)
        points.append(np.column_stack([along, edge, z]))
        forces.append(side * area * np.column_stack([xy, y, 0.0 * x]))
    plate.load(np.concatenate(points), np.concatenate(forces))
    found = plate.stressed()
    found = found.within(np.abs(found.places[:, :2]).max(axis=1) < 36.0)
    line = np.linspace(-36.0, 36.0, 1601)
    x, y = (each.ravel() for each in np.meshgrid(line, line))
    x, y = x[np.hypot(x, y) >= hole], y[np.hypot(x, y) >= hole]
    x, y, xy = kirsch(x, y, hole, pull)
    exact = np.quantile(np.sqrt(x**2 + y**2 - x * y + 3 * xy**2), 0.999)
    assert found.quantile(0.999) == pytest.approx(exact, rel=0.10)


def kirsch(x: np.ndarray, y: np.ndarray, hole: float, pull: float) -> tuple[np.ndarray, ...]:
    """Stresses along x, along y and of shear round a hole in a plate pulled along x."""
    angle, q = np.arctan2(y, x), hole**2 / (x * x + y * y)
    c, s, c2, s2 = np.cos(angle), np.sin(angle), np.cos(2 * angle), np.sin(2 * angle)
    radial = pull / 2 * (1 - q + (1 - 4 * q + 3 * q * q) * c2)
    hoop = pull / 2 * (1 + q - (1 + 3 * q * q) * c2)
    shear = -pull / 2 * (1 + 2 * q - 3 * q * q) * s2
    return (
        radial * c * c + hoop * s * s - 2 * shear * c * s,
        radial * s * s + hoop * c * c + 2 * shear * c * s,
        (radial - hoop) * c * s + shear * (c * c - s * s),
    )


@one_turn_or_all
def test_a_plate_under_a_washer(turned):
    # Held along its edge, free to turn there; pressed evenly within a circle.
    radius, thick, washer, load = 60.0, 10.0, 18.0, 500.0
    disc = Manifold.cylinder(thick, radius, radius, 256).translate((0, 0, -thick / 2))
    plate = LooseBody(disc, turned)
    around, z = grid_of((2 * math.pi, 360), (thick, 16))
    edge = np.column_stack([radius * np.cos(around), radius * np.sin(around), z])
    shear = thick**2 / 4.0 - z * z
    x, y = grid_of((2 * washer, 64), (2 * washer, 64))
    within = np.hypot(x, y) < washer
    top = np.column_stack([x, y, np.full(len(x), thick / 2)])[within]
    down = np.zeros((len(top), 3))
    down[:, 2] = -load / len(top)
    up = np.zeros((len(edge), 3))
    up[:, 2] = load * shear / shear.sum()
    plate.load(np.concatenate([top, edge]), np.concatenate([down, up]))
    stiffness = E * thick**3 / (12 * (1 - NU**2))
    spread = math.sqrt(np.mean(top[:, 0] ** 2 + top[:, 1] ** 2) * 2)  # of the points, washer's radius
    bent = (
        load
        / (16 * math.pi * stiffness)
        * (
            (3 + NU) / (1 + NU) * radius**2
            + spread**2 * math.log(spread / radius)
            - (7 + 3 * NU) / (4 * (1 + NU)) * spread**2
        )
    )
    sheared = (
        (1 - NU / 2)
        * load
        / (2 * math.pi * 5 / 6 * E / (2 * (1 + NU)) * thick)
        * (0.5 + math.log(radius / spread))
    )
    middle = edge * [1.0, 1.0, 0.0]
    sag = plate.moved(middle)[:, 2].mean() - plate.moved(np.zeros((1, 3)))[0, 2]
    assert sag == pytest.approx(bent + sheared, rel=0.015)
    moment = load / (4 * math.pi) * ((1 + NU) * math.log(radius / spread) + 1)
    moment -= load / (4 * math.pi) * (1 - NU) * spread**2 / (4 * radius**2)
    found = plate.stressed()
    at_centre = (np.hypot(*found.places[:, :2].T) < 4.0) & (found.places[:, 2] < -thick / 2 + 1.2)
    # Carried out to the face from the middles of what is looked at.
    height = np.average(-found.places[at_centre, 2], weights=found.volumes[at_centre])
    bending = found.tensor[at_centre][:, (0, 1), (0, 1)].mean(axis=1)
    got = np.average(bending, weights=found.volumes[at_centre]) * thick / 2 / height
    assert got == pytest.approx(6 * moment / thick**2, rel=0.07)
