"""A leaning lip beside quadratic tetrahedra of scikit-fem: the same solid, springs and loads.

The solid is a box of tetrahedra bent to a hold's shape, so that no mesher of tetrahedra is needed.
"""

import math

import numpy as np
import pytest
import skfem
from scipy.sparse import diags_array
from scipy.sparse.linalg import cg
from skfem.helpers import ddot, dot, eye, sym_grad, trace

from elastic_bodies import NU, E
from holdwright.geometry.mesh.solid import Solid
from holdwright.strength.back_and_seat import back_points
from holdwright.strength.cell_grid import voxelise
from holdwright.strength.cell_mesh import cut_cells
from holdwright.strength.elastic_model import ElasticBody, ElasticModel, Springs
from holdwright.strength.measure import exceeded, von_mises
from holdwright.strength.placing import nodal, placed
from holdwright.strength.stress import stresses
from outside.test_strength_closed_forms import every_turn

BED, FORCE, ENTRY = 100.0, np.array([30.0, 60.0, -250.0]), 15.0
"""Springs under the back, MPa/mm; load on the top, N; what is left out round its middle, mm."""

SHEAR = E / 2 / (1 + NU)
LAME = E * NU / (1 + NU) / (1 - 2 * NU)


def leaning_lip(fine: int) -> skfem.MeshTet:
    box = skfem.MeshTet.init_tensor(
        np.linspace(-1, 1, 6 * fine + 1), np.linspace(-1, 1, 5 * fine + 1), np.linspace(0, 1, 7 * fine + 1)
    )
    u, v, w = box.p
    x, y = 30 * u * (1 - 0.35 * w), 22 * v * (1 - 0.5 * w) + 34 * w**2
    return skfem.MeshTet(np.array([x, y, 45 * w - 4 * u * u * w]), box.t)


def by_tetrahedra(mesh: skfem.MeshTet, middle: np.ndarray) -> tuple[float, float]:
    """Value that 200 mm3 exceed and deflection of the top, by quadratic tetrahedra."""
    element = skfem.ElementVector(skfem.ElementTetP2())
    body = skfem.Basis(mesh, element, intorder=2)
    low, high = mesh.facets_satisfying(lambda x: x[2] < 1e-6, boundaries_only=True), top_of(mesh)
    back, top = (skfem.FacetBasis(mesh, element, facets=each, intorder=4) for each in (low, high))

    def stress(strain):
        return 2 * SHEAR * strain + LAME * eye(trace(strain), 3)

    matrix = skfem.BilinearForm(lambda u, v, _: ddot(stress(sym_grad(u)), sym_grad(v))).assemble(body)
    matrix += skfem.BilinearForm(lambda u, v, _: BED * dot(u, v)).assemble(back)
    area = skfem.Functional(lambda w: 1.0 + 0 * w.x[0]).assemble(top)
    loads = skfem.LinearForm(lambda v, _: sum(FORCE[i] / area * v[i] for i in range(3))).assemble(top)
    moved, failed = cg(matrix, loads, rtol=1e-8, maxiter=5000, M=diags_array(1.0 / matrix.diagonal()))
    assert not failed
    found = np.moveaxis(np.asarray(stress(sym_grad(body.interpolate(moved)))), (0, 1), (2, 3)).reshape(
        -1, 3, 3
    )
    six = found[:, (0, 1, 2, 1, 2, 0), (0, 1, 2, 2, 0, 1)]
    places = np.moveaxis(np.asarray(body.global_coordinates()), 0, 2).reshape(-1, 3)
    volumes = np.where(np.linalg.norm(places - middle, axis=1) < ENTRY, 0.0, body.dx.ravel())
    return exceeded(von_mises(six), volumes, places).value, float(loads @ moved) / np.linalg.norm(FORCE)


def top_of(mesh: skfem.MeshTet) -> np.ndarray:
    """Facets of the top."""
    facets = mesh.boundary_facets()
    corners = mesh.p[:, mesh.facets[:, facets]]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0], axis=0)
    level = np.abs(normals[2]) > 0.7 * np.linalg.norm(normals, axis=0)
    return facets[level & (corners[2].mean(axis=0) > 30.0)]


def by_cells(mesh: skfem.MeshTet, middle: np.ndarray, cell: float) -> tuple[float, float]:
    """The same by cells."""
    facets = mesh.facets[:, mesh.boundary_facets()].T
    used, triangles = np.unique(facets, return_inverse=True)
    vertices, triangles = mesh.p[:, used].T, triangles.reshape(-1, 3)
    corners = vertices[triangles]
    inside = mesh.p[:, mesh.t[:, mesh.f2t[0, mesh.boundary_facets()]]].mean(axis=1).T
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    inward = np.einsum("ij,ij->i", normals, inside - corners.mean(axis=1)) > 0
    triangles[inward] = triangles[inward][:, ::-1]
    solid = Solid.from_triangles(vertices, triangles)
    cells = cut_cells(voxelise({"lip": solid}, cell, {"lip": math.inf}, (0.37, 0.81)))
    body = ElasticBody.of(cells, np.array([E, E]), NU)
    back, areas = back_points(cells)
    model = ElasticModel(body, Springs(back, np.outer(areas, [BED] * 3)))
    top = mesh.p[:, mesh.facets[:, top_of(mesh)]]
    area = np.linalg.norm(np.cross(top[:, 1] - top[:, 0], top[:, 2] - top[:, 0], axis=0), axis=0) / 2
    entry = placed(cells, top.mean(axis=1).T)
    forces = nodal(cells, entry, np.outer(area / area.sum(), FORCE))
    moved = model.solve(forces).moved
    samples, stress = stresses(body, moved[:, None])
    near = np.linalg.norm(samples.places - middle, axis=1) < ENTRY
    volumes = np.where(near, 0.0, samples.volumes)
    value = exceeded(von_mises(stress[:, :, 0]), volumes, samples.places).value
    return value, float(forces @ moved) / np.linalg.norm(FORCE)


@pytest.mark.parametrize("fine", [1, pytest.param(3, marks=every_turn)])
def test_cells_give_what_quadratic_tetrahedra_do(fine):
    mesh = leaning_lip(fine)
    middle = np.array([0.0, 34.0, 45.0])
    value, sag = by_tetrahedra(mesh, middle)
    by_2_mm = by_cells(mesh, middle, 2.0)
    assert by_2_mm[0] == pytest.approx(value, rel=0.06)
    assert by_2_mm[1] == pytest.approx(sag, rel=0.10)
