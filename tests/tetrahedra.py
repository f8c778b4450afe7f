"""Quadratic tetrahedra of scikit-fem, a reference for cells: a body, and a hold of them on its wall."""

from collections.abc import Callable
from functools import cached_property

import numpy as np
import skfem
from scipy.sparse import coo_array, csc_array, csr_array
from scipy.sparse.linalg import LinearOperator, cg, splu
from skfem.helpers import ddot, eye, sym_grad, trace

from holdwright.joint.holding.loadable import STEEPEST
from holdwright.strength.load_cases import PatchLoad
from holdwright.strength.loaded_hold import LoadedHold, TightenedBolt
from holdwright.strength.measure import exceeded, von_mises

CLOSE = 1e-8
"""What is left of the forces, by the forces."""

FLAT, UPRIGHT = 0.3, 0.9
"""Facets of a plane: no farther from it than this (mm), no less square to it than this."""

LOOSE, GRIP = 1e-5, 0.5
"""As of `strength/wall_contact.py`: what holds the back where it lifts, and along the wall, by the wall."""


class QuadraticBody:
    """A solid of one material."""

    def __init__(self, mesh: skfem.MeshTet, modulus: float, poisson: float) -> None:
        self.mesh = mesh
        self.element = skfem.ElementVector(skfem.ElementTetP2())
        self.basis = skfem.Basis(mesh, self.element, intorder=2)
        self._shear = modulus / 2 / (1 + poisson)
        self._lame = modulus * poisson / (1 + poisson) / (1 - 2 * poisson)
        form = skfem.BilinearForm(lambda u, v, _: ddot(self._tensor(sym_grad(u)), sym_grad(v)))
        self.stiffness = csr_array(form.assemble(self.basis))

    def on(self, facets: np.ndarray) -> skfem.FacetBasis:
        return skfem.FacetBasis(self.mesh, self.element, facets=facets, intorder=4)

    def stress(self, moved: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Places (n, 3), volumes (n,) and stresses (n, 6) at all points of integration."""
        tensor = self._tensor(sym_grad(self.basis.interpolate(moved)))
        found = np.moveaxis(np.asarray(tensor), (0, 1), (2, 3)).reshape(-1, 3, 3)
        places = np.moveaxis(np.asarray(self.basis.global_coordinates()), 0, 2).reshape(-1, 3)
        return places, self.basis.dx.ravel(), found[:, (0, 1, 2, 1, 2, 0), (0, 1, 2, 2, 0, 1)]

    def solver(self, matrix: csr_array) -> Callable[..., np.ndarray]:
        """Conjugate gradients, helped by the linear tetrahedra of the same mesh solved directly."""
        finer = self._linear
        coarse = splu(
            csc_array(finer.T @ matrix @ finer), permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True}
        )
        inverse = 0.5 / matrix.diagonal()
        size = matrix.shape[0]
        near = LinearOperator(
            (size, size), lambda left: inverse * left + finer @ coarse.solve(finer.T @ left)
        )

        def solve(
            forces: np.ndarray, start: np.ndarray | None = None, of: LinearOperator | None = None
        ) -> np.ndarray:
            moved, failed = cg(of or matrix, forces, x0=start, rtol=CLOSE, maxiter=3000, M=near)
            assert not failed
            return moved

        return solve

    @cached_property
    def _linear(self) -> csr_array:
        """Displacements of vertices and of middles of edges by those of vertices: (n, 3 vertices)."""
        ends = self.mesh.edges
        vertices, edges = np.arange(self.mesh.nvertices), np.arange(ends.shape[1])
        rows, columns, values = [], [], []
        for axis in range(3):
            for number, column, share in (
                (self.basis.nodal_dofs[axis], vertices, 1.0),
                (self.basis.edge_dofs[axis, edges], ends[0], 0.5),
                (self.basis.edge_dofs[axis, edges], ends[1], 0.5),
            ):
                rows.append(number)
                columns.append(3 * column + axis)
                values.append(np.full(len(column), share))
        each = (np.concatenate(one) for one in (values, rows, columns))
        values, rows, columns = each
        shape = (self.basis.N, 3 * self.mesh.nvertices)
        return csr_array(coo_array((values, (rows, columns)), shape=shape))

    def _tensor(self, strain):
        return 2 * self._shear * strain + self._lame * eye(trace(strain), 3)


class TetrahedraOnWall:
    """A hold of tetrahedra on its wall, its bolt tightened: what cells are compared with.

    Wall, bolt and load are those of the cells' model, put on facets instead of cells. What presses is found
    by trying until it no longer changes.
    """

    def __init__(self, body: QuadraticBody, loaded: LoadedHold) -> None:
        self.body, self._loaded = body, loaded
        (self._bolt,) = loaded.bolts
        self._back = body.on(_level_facets(body.mesh, 0.0, up=False))
        self._pull = self._seat_vector(self._bolt)
        everywhere = np.ones(self._back.dx.shape)
        loose = self._bed(everywhere * LOOSE * loaded.wall, (0, 1, 2))
        free = body.stiffness + loose
        solve = body.solver(csr_array(free + self._bed(everywhere * loaded.wall, (2,))))
        self._moved, pressed = self._balanced(solve, free, -self._bolt.pull * self._pull, 0.0)
        grips = self._bed(GRIP * loaded.wall * pressed, (0, 1))
        self._held = csr_array(free + grips)
        self._solve = body.solver(csr_array(self._held + self._bed(loaded.wall * pressed, (2,))))
        risen = self._bolt.stiffness * float(self._pull @ self._moved)
        self._kept = (risen - self._bolt.pull) * self._pull + grips @ self._moved
        self.pressed_area = float((self._back.dx * pressed).sum())

    def under(self, patch: PatchLoad) -> tuple[float, float]:
        """Value that 200 mm3 exceed, MPa, and deflection of the patch along its load, mm."""
        share = self._patch_vector(patch)
        forces = float(np.linalg.norm(patch.force)) * share
        moved, _ = self._balanced(self._solve, self._held, forces + self._kept, self._bolt.stiffness)
        places, volumes, stress = self.body.stress(moved)
        volumes = np.where(self._bolt.near_washer(places) | patch.enters_at(places), 0.0, volumes)
        return exceeded(von_mises(stress), volumes, places).value, float(share @ (moved - self._moved))

    def _balanced(
        self, solve: Callable[..., np.ndarray], held: csr_array, forces: np.ndarray, tie: float
    ) -> tuple[np.ndarray, np.ndarray]:
        pressed, moved = np.ones(self._back.dx.shape), None
        for _ in range(30):
            matrix = csr_array(held + self._bed(self._loaded.wall * pressed, (2,)))
            size = matrix.shape[0]
            operator = LinearOperator(
                (size, size),
                lambda each, matrix=matrix: matrix @ each + tie * (self._pull @ each) * self._pull,
            )
            moved = solve(forces, moved, operator)
            before, pressed = pressed, (np.asarray(self._back.interpolate(moved))[2] < 0.0).astype(float)
            changed = (self._back.dx * (pressed != before)).sum() / self._back.dx.sum()
            if changed < 1e-4:
                return moved, pressed
        raise AssertionError("What presses on the wall does not settle.")

    def _bed(self, stiffness: np.ndarray, axes: tuple[int, ...]) -> csr_array:
        form = skfem.BilinearForm(lambda u, v, w: w["bed"] * sum(u[axis] * v[axis] for axis in axes))
        return csr_array(form.assemble(self._back, bed=stiffness))

    def _seat_vector(self, bolt: TightenedBolt) -> np.ndarray:
        """Mean height of the ring that the washer presses on, by displacements."""
        ring = self.body.on(_level_facets(self.body.mesh, bolt.seat[2], up=True))
        x, y, _ = np.asarray(ring.global_coordinates())
        away = np.hypot(x - bolt.seat[0], y - bolt.seat[1])
        within = ((away >= bolt.hole / 2) & (away <= bolt.pressing / 2)).astype(float)
        form = skfem.LinearForm(lambda v, w: w["share"] * v[2])
        return form.assemble(ring, share=within / (within * ring.dx).sum())

    def _patch_vector(self, patch: PatchLoad) -> np.ndarray:
        """Displacement of the patch along its load, by displacements."""
        skin = self.body.on(self.body.mesh.boundary_facets())
        places = np.asarray(skin.global_coordinates())
        inside = patch.enters_at(np.moveaxis(places, 0, -1).reshape(-1, 3)).reshape(places.shape[1:])
        facing = -np.einsum("i,ijk->jk", patch.direction, np.asarray(skin.normals))
        weight = np.where(inside & (facing > np.cos(np.radians(STEEPEST))), facing, 0.0)
        form = skfem.LinearForm(lambda v, w: w["share"] * sum(patch.direction[i] * v[i] for i in range(3)))
        return form.assemble(skin, share=weight / (weight * skin.dx).sum())


def _level_facets(mesh: skfem.MeshTet, height: float, *, up: bool) -> np.ndarray:
    """Boundary facets that lie level at a height and look up or down."""
    facets = mesh.boundary_facets()
    corners = mesh.p[:, mesh.facets[:, facets]]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0], axis=0)
    level = np.abs(normals[2]) > UPRIGHT * np.linalg.norm(normals, axis=0)
    near = (np.abs(corners[2] - height) < FLAT).all(axis=0)
    inside = mesh.p[2][mesh.t[:, mesh.f2t[0, facets]]].mean(axis=0)
    looks = inside < corners[2].mean(axis=0) if up else inside > corners[2].mean(axis=0)
    return facets[level & near & looks]
