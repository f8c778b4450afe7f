"""Times where a hold breaks: cells, their stiffness, bolts tightened, four loads, stress.

Aims: a hold 120 mm across on cells of 3 mm within 8 s, on cells of 2 mm within 17 s and 1.5 GB; conjugate
gradients within 50 steps a load at 150k unknowns. Seconds are of processor time on one thread; each row is
a process of its own. The last columns compare what 200 mm3 exceed, and how far the loaded places move, with
the finest row of the same hold.
"""

import math
import multiprocessing
import os
import resource
import time

import numpy as np
from manifold3d import Manifold

from hold_shapes import ENTRY
from holdwright.geometry.mesh.solid import Solid
from holdwright.strength.back_and_seat import seat_points
from holdwright.strength.cell_grid import voxelise
from holdwright.strength.cell_mesh import cut_cells
from holdwright.strength.elastic_model import ElasticBody
from holdwright.strength.measure import exceeded, von_mises
from holdwright.strength.placing import nodal, placed
from holdwright.strength.stress import stresses
from holdwright.strength.wall_contact import MountedHold, PulledSeat
from shapes import boulder

ROWS = ((55.0, 3.0), (55.0, 2.0), (55.0, 1.0), (140.0, 4.0))
"""Radius of the hold and side of a cell, mm."""


def hold(radius: float) -> dict[str, Solid]:
    """A lumpy hold of shell and core, bored in the middle."""
    lump = boulder(radius, 0.25, 3, 160).kernel.trim_by_plane((0, 0, 1), 0.0)
    bore = Manifold.cylinder(1000, 5.25, 5.25, 96, True)
    pocket = Manifold.cylinder(1000, 13, 13, 96).translate((0, 0, 15))
    core, shell = (lump - bore - pocket).split(Manifold.cylinder(25, 22, 14, 96))
    return {"shell": Solid.checked(shell), "core": Solid.checked(core)}


def row(radius: float, cell: float) -> tuple[list[float], np.ndarray, np.ndarray]:
    """Unknowns, times, steps and memory; stress exceeded and deflection for each load."""
    clock = [time.process_time()]

    def lap() -> None:
        clock.append(time.process_time())

    parts = hold(radius)
    clock[0] = time.process_time()
    cells = cut_cells(voxelise(parts, cell, {"shell": 2.0, "core": math.inf}))
    lap()
    body = ElasticBody.of(cells, np.array([2000.0, 250.0, 2000.0, 250.0]), 0.36)
    lap()
    place, shares = seat_points(cells, (0.0, 0.0), 15.0, 5.25, 12.5)
    mounted = MountedHold(body, 40.0, [PulledSeat(place, shares, 8000.0, 1e5)])
    lap()
    surface = parts["shell"].mesh.corners.mean(axis=1)
    forces, entries, middles = [], [], []
    for turn in np.radians([0, 90, 180, 270]):
        outward = np.array([np.cos(turn), np.sin(turn), 0.8])
        middle = surface[(surface @ outward).argmax()]
        near = surface[np.linalg.norm(surface - middle, axis=1) < ENTRY]
        entry = placed(cells, near)
        force = np.array([-800.0 * np.sin(turn), 800.0 * np.cos(turn), 600.0])
        forces.append(nodal(cells, entry, np.repeat(force[None] / len(near), len(near), axis=0)))
        entries.append((entry, force))
        middles.append(middle)
    found = mounted.loaded(forces)
    lap()
    samples, stress = stresses(body, found.moved)
    values, sags = [], []
    for number, (entry, force) in enumerate(entries):
        volumes = samples.volumes.copy()
        for middle in (middles[number], np.array([0.0, 0.0, 15.0])):
            volumes[np.linalg.norm(samples.places - middle, axis=1) < ENTRY] = 0.0
        values.append(exceeded(von_mises(stress[:, :, number]), volumes, samples.places).value)
        way = (found.moved[:, number] - mounted.tightened.moved[:, 0]).reshape(-1, 3)
        sags.append((entry.matrix(cells) @ way).mean(axis=0) @ force / np.linalg.norm(force))
    lap()
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    unknowns = 3 * cells.mesh.node_count
    laps = np.diff(clock).tolist()
    return [unknowns, *laps, sum(laps), found.steps / 4, memory], np.array(values), np.array(sags)


def main() -> None:
    """Print the table."""
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    names = "unknowns  cells  stiffness  tightened  4 loads  stress  all s  steps/load  GB"
    print(f"  mm  cell  {names}  exceeded  moved")
    found = {}
    for radius, cell in ROWS:
        with multiprocessing.get_context("spawn").Pool(1) as pool:
            found[radius, cell] = pool.apply(row, (radius, cell))
    for (radius, cell), (figures, values, sags) in found.items():
        finest = found[radius, min(each for other, each in found if other == radius)]
        unknowns, *laps, whole, steps, memory = figures
        compared = [f"{each.min():.3f}-{each.max():.3f}" for each in (values / finest[1], sags / finest[2])]
        print(
            f"{2 * radius:>4.0f}  {cell:>4.0f}  {unknowns:>8.0f}  {laps[0]:>5.1f}  {laps[1]:>9.1f}  "
            f"{laps[2]:>9.1f}  {laps[3]:>7.1f}  {laps[4]:>6.1f}  {whole:>5.1f}  {steps:>10.0f}  "
            f"{memory:>3.1f}  {'  '.join(compared)}"
        )


if __name__ == "__main__":
    main()
