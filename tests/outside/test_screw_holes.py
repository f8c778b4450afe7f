"""Screw holes against a general-purpose library: the volume that another kernel's turned profile has."""

import numpy as np
import pytest
import trimesh

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole, hole_cutter
from holdwright.geometry.mesh.frame import lean
from shapes import block

SIDES = 4096


def turned(shape: Hole, low: float, top: float) -> trimesh.Trimesh:
    """The hole's profile turned by trimesh, in `SIDES` flats that lie within the circle."""
    hole, head = shape.hole_radius, shape.pocket_radius
    profile = [(0, low), (hole, low), (hole, shape.seat), (head, shape.mouth), (head, top), (0, top)]
    return trimesh.creation.revolve(np.array(profile), sections=SIDES)


@pytest.mark.parametrize("number", range(len(load_catalogue().wood_screws)))
def test_cutters_have_the_volume_that_trimesh_turns(number):
    row = load_catalogue().wood_screws[number]
    shape = Hole(4.0, -7.0, 13.0, row.clearance, row.mouth, row.mouth, lean(17.0, 200.0), row.head_angle)
    # An inscribed polygon of n sides has n sin(2 pi / n) / (2 pi) of its circle's area.
    share = SIDES * np.sin(2 * np.pi / SIDES) / (2 * np.pi)
    told = turned(shape, -2.0, 20.0).volume / share
    assert hole_cutter(shape, -2.0, 20.0).volume == pytest.approx(told, rel=1e-8)


def test_a_hole_takes_from_a_slab_what_trimesh_says_lies_within_it():
    shape = Hole(5.0, 3.0, 9.55, 5.5, 10.4, 10.4, cone_angle=90.0)
    share = SIDES * np.sin(2 * np.pi / SIDES) / (2 * np.pi)
    slab = block(60.0, 50.0, 12.0)
    cut = cut_hole(slab, shape, 14.0)
    assert cut.removed == pytest.approx(turned(shape, 0.0, 12.0).volume / share, rel=1e-8)
    left = trimesh.Trimesh(cut.solid.vertices, cut.solid.triangles, process=False)
    assert left.is_watertight
    assert left.euler_number == 0
    assert left.volume == pytest.approx(slab.volume - cut.removed, rel=1e-9)
