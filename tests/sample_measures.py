"""Measures of the sample sculpts by a route of their own: trimesh reads and shapely and libigl measure them.

None of Holdwright's code has a part in it. ``python tests/sample_measures.py`` writes
``sample_data/expected.json`` anew; the tests compare with that file, and measure again on a coarser grid.

The fused volume counts points of a jittered grid that lie inside any piece, by the winding number of each
piece round the point (Jacobson, Kavan, Sorkine-Hornung, "Robust inside-outside segmentation using generalized
winding numbers", SIGGRAPH 2013), its sign left aside, so that a piece wound inside out counts like any other.
"""

import io
import json
from pathlib import Path
from typing import Any

import igl
import numpy as np
import shapely
import trimesh

FOLDER = Path(__file__).resolve().parent.parent / "sample_data"
GROUND = ("ground", "ground_block", "block")
ACROSS = 120.0
"""Diameter in mm of the circle round the finished hold that the starter recipe asks for."""


def groups_of(path: Path) -> dict[str, trimesh.Trimesh]:
    """Read each group of an OBJ file by itself."""
    text = path.read_text("ascii").replace("\no ", "\ng ")  # trimesh parts a file by its groups alone
    scene = trimesh.load_scene(
        io.BytesIO(text.encode("ascii")),
        file_type="obj",
        split_groups=True,
        group_material=False,
        process=False,
    )
    return {name: scene.geometry[name] for name in sorted(scene.geometry)}


def fused_volume(pieces: list[trimesh.Trimesh], cells: int) -> float:
    """Volume inside any of the pieces, in file units cubed; the grid has `cells` along the longest side."""
    low = np.min([piece.bounds[0] for piece in pieces], axis=0)
    high = np.max([piece.bounds[1] for piece in pieces], axis=0)
    step = float((high - low).max()) / cells
    count = np.ceil((high - low) / step).astype(int)
    corner = np.stack(np.meshgrid(*(np.arange(n) for n in count), indexing="ij"), axis=-1).reshape(-1, 3)
    points = low + step * (corner + np.random.default_rng(5).uniform(size=corner.shape))
    inside = np.zeros(len(points), dtype=bool)
    for piece in pieces:
        near = ~inside & ((points > piece.bounds[0]) & (points < piece.bounds[1])).all(axis=1)
        faces = np.asarray(piece.faces, dtype=np.int64)
        winding = igl.fast_winding_number(np.asarray(piece.vertices, dtype=np.float64), faces, points[near])
        inside[np.flatnonzero(near)[np.abs(winding) > 0.5]] = True
    return float(inside.sum()) * step**3


def wall_frame(ground: trimesh.Trimesh, others: np.ndarray) -> np.ndarray:
    """Give (3, 3) rows right, up and out of the wall, as told by the ground block and the room's up (+y)."""
    normal = ground.face_normals[np.argmax(ground.area_faces)]
    out = normal * np.sign((others.mean(axis=0) - ground.centroid) @ normal)
    up = np.array([0.0, 1.0, 0.0]) - out[1] * out
    up /= np.linalg.norm(up)
    return np.array([np.cross(up, out), up, out])


def measured(path: Path, cells: int) -> dict[str, Any]:
    """Measure one sample."""
    groups = groups_of(path)
    ground = next(name for name in groups if name in GROUND)
    pieces = [mesh for name, mesh in groups.items() if name != ground]
    points = np.concatenate([piece.vertices for piece in pieces])
    seen = points @ wall_frame(groups[ground], points).T
    circle = 2.0 * shapely.minimum_bounding_radius(shapely.MultiPoint(seen[:, :2]))
    return {
        "groups": list(groups),
        "ground_block": ground,
        "inside_out": [name for name, mesh in groups.items() if mesh.volume < 0],
        "fused_volume": fused_volume(pieces, cells),
        "circle": circle,
        "size_at_120": [float(span) for span in np.ptp(seen, axis=0) * ACROSS / circle],
    }


def main() -> None:
    """Write the expected measures."""
    content = {
        "what": "Measures of the sample sculpts, in file units but for size_at_120 (mm).",
        "how": {
            "fused_volume": "points of a jittered grid, 240 cells along the longest side, inside any piece "
            "but the ground block, by libigl's fast winding number; tests/sample_measures.py",
            "circle": "smallest circle round the vertices but the ground block's, seen along the ground "
            "block's normal, by shapely",
            "size_at_120": "extent along right, up (the file's +y as far as the wall allows) and out of the "
            "wall, scaled so that the circle is 120 mm across, before anything is cut",
        },
        "tolerance": {"fused_volume": 0.002, "circle": 0.001, "size_at_120": 0.15},
        "samples": {path.name: measured(path, 240) for path in sorted(FOLDER.glob("*.obj"))},
    }
    (FOLDER / "expected.json").write_text(json.dumps(content, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
