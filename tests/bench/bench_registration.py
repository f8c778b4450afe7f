"""A turned sculpt of about 150k triangles brought back, and two surfaces measured against each other.

Seconds of processor, and as ratios: registration beside scipy's search for nearest vertices in the same mesh,
distances beside VTK's.
"""

import time
from pathlib import Path

import numpy as np
import pyvista
from scipy.spatial import cKDTree
from scipy.spatial.transform import Rotation

from holdwright.files.reading import read_sculpt
from holdwright.geometry.measure.deviation import points_by_area
from holdwright.geometry.measure.registration import register
from holdwright.geometry.measure.shape_points import shape_points
from holdwright.geometry.measure.signed_distance import SignedDistance
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.mesh import Mesh, quartered

SAMPLES = Path(__file__).resolve().parents[2] / "sample_data"
LIMIT = 2.0
POINTS = 6000


def main() -> None:
    """Print a line for each."""
    raw = Mesh.joined([piece.mesh for piece in read_sculpt(SAMPLES / "hall-jug.obj").pieces])
    fine = Mesh.of_corners(quartered(raw.corners))
    turn = Rotation.from_euler("zyx", [70.0, -40.0, 110.0], degrees=True).as_matrix()
    new = fine.moved(placement(1.2 * turn, 0.3 * raw.size))
    begin = time.process_time()
    found = register(shape_points(raw), new)
    ours = time.process_time() - begin
    print(f"registration, {len(new.triangles)} triangles  {ours:6.2f} s  limit {LIMIT:g}")
    begin = time.process_time()
    cKDTree(new.vertices).query(new.vertices[::10])
    print(f"  beside one nearest vertex of each tenth  {ours / (time.process_time() - begin):6.1f}")
    points = points_by_area(new.moved(found.placement), POINTS)[0]
    begin = time.process_time()
    SignedDistance(raw).of(points)
    ours = time.process_time() - begin
    surface = pyvista.PolyData(raw.vertices, np.insert(raw.triangles, 0, 3, axis=1).ravel())
    begin = time.process_time()
    pyvista.PolyData(points).compute_implicit_distance(surface)
    theirs = time.process_time() - begin
    print(f"distances of {POINTS} points         {ours:6.2f} s")
    print(f"  beside VTK's                        {ours / theirs:6.1f}")


if __name__ == "__main__":
    main()
