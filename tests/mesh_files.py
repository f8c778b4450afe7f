"""Solids put into files as a sculpting program would leave them, and which files there are."""

from pathlib import Path

from holdwright.geometry.mesh.solid import Solid


def write_obj(path: Path, solid: Solid) -> Path:
    """Write a solid as OBJ and give the path back."""
    rows = [f"v {x:.9g} {y:.9g} {z:.9g}" for x, y, z in solid.vertices]
    rows += [f"f {a} {b} {c}" for a, b, c in solid.triangles + 1]
    path.write_text("\n".join(rows) + "\n")
    return path


def names_in(folder: Path) -> list[str]:
    """Give the names of what is in a folder; none where there is no folder."""
    return sorted(path.name for path in folder.iterdir()) if folder.exists() else []
