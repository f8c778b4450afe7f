"""The parts of a finished hold, rounded for files, each checked against its exact solid."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from holdwright.catalogue.catalogue import load_catalogue, look_up
from holdwright.errors import GeometryError, ParameterError, RecipeError
from holdwright.export.options import USUAL, ExportOptions
from holdwright.export.pose import ExportPose, print_pose, wall_pose
from holdwright.geometry.arrays import Floats
from holdwright.geometry.layers.bed_contact import base_outlines
from holdwright.geometry.layers.brim import brim
from holdwright.geometry.layers.corner_tabs import TabOptions, corner_tabs
from holdwright.geometry.mesh.closedness import Closedness, closedness
from holdwright.geometry.mesh.frame import move_points, scaling
from holdwright.geometry.mesh.single_precision import PrintedMesh, printed_mesh
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.hold import CORE, Hold
from holdwright.printing.allowances import Allowances, hold_allowances, in_print_size
from holdwright.printing.print_parameters import PrintParameters

TAB_NAMES: Final = tuple(f"tab {number}" for number in range(1, TabOptions.most + 1))
"""What corner tabs are called, as parts of their own."""

BRIM: Final = "brim"
"""What a brim is called, as a part of its own."""

HOLDING_DOWN: Final = (BRIM, *TAB_NAMES)
"""Names of all parts that hold the others down, and are cut off after."""

VOLUME_TOLERANCE: Final = 1e-5
"""Share of its volume by which a file may differ from the exact solid; single precision needs about 1e-8."""


@dataclass(frozen=True, eq=False)
class Part:
    """A solid of the finished hold and the mesh that stands for it in files."""

    name: str
    """One of "whole", "shell", "core" or `HOLDING_DOWN`."""
    solid: Solid
    """The exact one, in true size; what holds it down in print size."""
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
    pose: ExportPose
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
    hold: Hold,
    requested: PrintParameters,
    options: ExportOptions = USUAL,
    chosen: Sequence[str] | None = None,
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
    printed = in_print_size(solids, allowances)
    held = _holding_down(printed, requested.layer_height, options)
    points = [solid.vertices for solid in (*printed.values(), *held.values())]
    if options.pose == "wall":
        pose = wall_pose(points)
    else:
        pose = print_pose(points, look_up(catalogue.machines, requested.machine, "printer"))
    parts = [_part(name, solid, allowances.shrinkage[name].factor, pose) for name, solid in solids.items()]
    parts += [_part(name, solid, 1.0, pose) for name, solid in held.items()]
    return FinishedParts(tuple(parts), allowances, pose)


def _holding_down(solids: Mapping[str, Solid], layer: float, options: ExportOptions) -> dict[str, Solid]:
    """Make brim and tabs for what stands on the bed, by name; solids in print size."""
    if not (options.tabs or options.brim):
        return {}
    bed = min(float(solid.bounds[0, 2]) for solid in solids.values())
    thickness = layer * math.ceil(TabOptions.thickness / layer - 1e-9)
    made = TabOptions(thickness=thickness, bed=bed, brim=options.brim)
    outline = base_outlines(tuple(solids.values()), bed + layer / 2.0)
    rim, tabs = brim(outline, made), corner_tabs(outline, made) if options.tabs else []
    return ({BRIM: rim} if rim is not None else {}) | dict(zip(TAB_NAMES, tabs, strict=False))


def held_part(names: Iterable[str]) -> str:
    """Give the name of the part that brim and tabs hold down: the shell, or what there is."""
    return min(names, key=lambda name: name == CORE)


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


def _part(name: str, solid: Solid, factor: float, pose: ExportPose) -> Part:
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
