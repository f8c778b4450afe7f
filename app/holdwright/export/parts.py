"""The parts of a finished hold, rounded for files, each checked against its exact solid."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from holdwright.catalogue.catalogue import load_catalogue, look_up
from holdwright.errors import GeometryError, ParameterError, RecipeError
from holdwright.export.pose import Pose, PoseName, print_pose, wall_pose
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.closedness import Closedness, closedness
from holdwright.geometry.mesh.frame import move_points, scaling
from holdwright.geometry.mesh.single_precision import PrintedMesh, printed_mesh
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.hold import Hold
from holdwright.printing.allowances import Allowances, hold_allowances
from holdwright.printing.print_parameters import PrintParameters

VOLUME_TOLERANCE: Final = 1e-5
"""Share of its volume by which a file may differ from the exact solid; single precision needs about 1e-8."""


@dataclass(frozen=True, eq=False)
class Part:
    """A solid of the finished hold and the mesh that stands for it in files."""

    name: str
    """One of "whole", "shell" or "core"."""
    solid: Solid
    """The exact one, in true size."""
    mesh: PrintedMesh
    """In print size and pose, rounded to single precision."""
    closedness: Closedness
    """Of `mesh`."""
    volume: float
    """What `mesh` should enclose, mm3: the exact solid's volume times the cube of that factor."""


@dataclass(frozen=True, eq=False)
class FinishedParts:
    """What is written of a hold."""

    parts: tuple[Part, ...]
    allowances: Allowances
    pose: Pose
    """Of all parts together."""


def check_finished(hold: Hold, chosen: Sequence[str] | None = None) -> None:
    """Check that the solids required of a hold can be written.

    Parameters
    ----------
    chosen
        Names of the solids required; None for all.

    Raises
    ------
    ParameterError
        When none is chosen, or one that the hold does not have.
    RecipeError
        When the hold has no true size yet.
    GeometryError
        When there is no solid.
    """
    if not hold.solids:
        raise GeometryError("There is no solid to write: no step of the recipe made one; add import_sculpt.")
    if not hold.sized:
        raise RecipeError(
            "The hold has no true size to be written in: the recipe takes the unit from the envelope but "
            "never scales to one; add scale_to_envelope, or give the sculpt's unit."
        )
    if chosen is not None and (not chosen or not set(chosen) <= set(hold.solids)):
        requested, existing = ", ".join(chosen) or "no part", ", ".join(hold.solids)
        raise ParameterError(f"The hold has {existing}, but {requested} was requested; choose from these.")


def finished_parts(
    hold: Hold, requested: PrintParameters, pose: PoseName, chosen: Sequence[str] | None = None
) -> FinishedParts:
    """Lay the solids of a hold that `check_finished` let pass as they shall be printed, rounded for files.

    Raises
    ------
    CatalogueError, ParameterError
        When the tables lack the printer whose bed is meant, or a material's shrinkage that is.
    GeometryError
        When a solid does not stay closed in single precision.
    """
    catalogue = load_catalogue()
    allowances = hold_allowances(hold, requested, catalogue)
    solids = {name: solid for name, solid in hold.solids.items() if chosen is None or name in chosen}
    points = [solid.vertices * allowances.shrinkage[name].factor for name, solid in solids.items()]
    if pose == "wall":
        placed = wall_pose(points)
    else:
        placed = print_pose(points, look_up(catalogue.machines, requested.machine, "printer"))
    parts = [_part(name, solid, allowances.shrinkage[name].factor, placed) for name, solid in solids.items()]
    return FinishedParts(tuple(parts), allowances, placed)


def written_as(solid: Solid, matrix: Floats | None = None) -> tuple[PrintedMesh, Closedness]:
    """Give the mesh that stands for a solid in files, and what a reader will make of it.

    Parameters
    ----------
    matrix
        (4, 4) similarity that moves it to its place in the files; None leaves it.
    """
    points = solid.vertices if matrix is None else move_points(matrix, solid.vertices)
    mesh = printed_mesh(points, solid.triangles)
    return mesh, closedness(mesh.vertices, mesh.triangles)


def _part(name: str, solid: Solid, factor: float, pose: Pose) -> Part:
    mesh, found = written_as(solid, pose.matrix @ scaling(factor))
    part = Part(name, solid, mesh, found, solid.volume * factor**3)
    problem = difference(part, found)
    if problem:
        raise GeometryError(
            f"The {name} does not stay the same solid when its coordinates are rounded to single precision, "
            f"as files hold them ({problem}); nothing was written. Simplify the sculpt where it is finest."
        )
    return part


def difference(part: Part, found: Closedness) -> str:
    """Say how a mesh differs from the part it should be; blank when it does not."""
    if not found.closed:
        return f"{found.unbalanced_edges} open edges, {found.degenerate} triangles of no area"
    if abs(found.volume - part.volume) > VOLUME_TOLERANCE * part.volume:
        return f"a volume of {found.volume:.8g} mm3 in place of {part.volume:.8g} mm3"
    return ""
