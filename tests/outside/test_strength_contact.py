"""Holds on their wall beside statics, and beside axisymmetric elements of another library.

The pressed share of a rigid block: statics of a foundation without tension, p from 0 to its greatest in a
straight line, so that 3 (1/2 - e/b) of it presses (any handbook of foundations; from memory).
"""

import math
import os

import numpy as np
import pytest
from manifold3d import Manifold

from holdwright.geometry.mesh.solid import Solid
from holdwright.strength.back_and_seat import seat_points
from holdwright.strength.cell_grid import voxelise
from holdwright.strength.cell_mesh import CutCells, cut_cells
from holdwright.strength.elastic_model import ElasticBody
from holdwright.strength.placing import nodal, placed
from holdwright.strength.wall_contact import MountedHold, PulledSeat
from outside.elastic_bodies import grid_of
from outside.test_elastic_contact import HOLE, POISSON, elastic_radius

PLACE = (0.37, 0.21)
"""Off the grid."""


def cells_of(kernel: Manifold, cell: float = 2.0) -> CutCells:
    solid = Solid.checked(kernel.translate((*PLACE, 0.0)))
    return cut_cells(voxelise({"body": solid}, cell, {"body": math.inf}))


def test_as_much_of_a_rigid_block_presses_as_statics_say():
    wide, deep, high = 40.0, 20.0, 16.0
    cells = cells_of(Manifold.cube((wide, deep, high), True).translate((0, 0, high / 2)))
    hold = MountedHold(ElasticBody.of(cells, np.array([2e5, 2e5]), 0.3), wall=10.0)
    x, y = grid_of((wide, 40), (deep, 20))
    place = placed(cells, np.column_stack([x + PLACE[0], y + PLACE[1], np.full(len(x), high)]))
    off = np.array([0.125, 0.25, 0.375])
    forces = []
    for each in off:
        down = np.zeros((len(x), 3))
        down[:, 2] = -1000.0 * (1 + 12 * each * x / wide) / len(x)
        forces.append(nodal(cells, place, down))
    found = hold.loaded(forces)
    assert found.pressed_share == pytest.approx(np.minimum(3 * (0.5 - off), 1.0), abs=0.03)
    assert found.areas @ found.pressure == pytest.approx(np.full(3, 1000.0), rel=1e-3)


@pytest.mark.parametrize(
    ("radius", "seat", "washer", "land"),
    [
        (30.0, 26.5, 15.0, None),
        *(
            pytest.param(
                *each,
                marks=pytest.mark.skipif(
                    "HOLDWRIGHT_STRENGTH_CASES" not in os.environ,
                    reason="takes a minute; HOLDWRIGHT_STRENGTH_CASES=1 runs it",
                ),
            )
            for each in (
                (60.0, 26.5, 15.0, None),
                (60.0, 26.5, 15.0, 42.0),
                (40.0, 15.0, 20.0, None),
                (40.0, 60.0, 10.0, None),
            )
        ),
    ],
)
def test_a_bolt_presses_as_by_axisymmetric_elements(radius, seat, washer, land):
    # Friction radius: what the joint's torque by friction is reckoned with.
    above = 14.0 if radius > 30.0 else 0.01
    disc = Manifold.cylinder(seat + above, radius, radius, 192) - Manifold.cylinder(200, HOLE, HOLE, 96, True)
    disc -= Manifold.cylinder(100, washer + 0.6, washer + 0.6, 96).translate((0, 0, seat))
    if land:
        disc -= Manifold.cylinder(2.0, land, land, 192, True)
    cells = cells_of(disc)
    place, shares = seat_points(cells, PLACE, seat, HOLE, washer)
    assert shares.sum() == pytest.approx(1.0)
    body = ElasticBody.of(cells, np.array([2000.0, 2000.0]), POISSON)
    hold = MountedHold(body, 5000.0, [PulledSeat(place, shares, 1000.0, 1e5)])
    pressing = hold.tightened.pressure[:, 0] * hold.tightened.areas
    assert pressing.sum() == pytest.approx(1000.0, rel=1e-3)
    away = np.hypot(*(hold.back.points[:, :2] - PLACE).T)
    elastic = elastic_radius(radius, seat, washer, land, above=above)
    assert pressing @ away / pressing.sum() == pytest.approx(elastic, rel=0.10)
