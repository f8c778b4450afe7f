"""The parts of a finished hold, rounded for files, each checked against its exact solid."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from holdwright.errors import GeometryError, ParameterError, RecipeError
from holdwright.geometry.mesh.closedness import Closedness, closedness
from holdwright.geometry.mesh.single_precision import PrintedMesh, printed_mesh
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Envelope
from holdwright.hold.hold import Hold

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
    """Rounded to single precision, larger than `solid` by the shrinkage factor."""
    closedness: Closedness
    """Of `mesh`."""
    volume: float
    """What `mesh` should enclose, mm3: the exact solid's volume times the cube of that factor."""


def shrinkage_percent(hold: Hold) -> float:
    """Give the shrinkage allowance of the envelope, percent; 0 without one."""
    return max((envelope.shrinkage_percent for envelope in hold.find(Envelope)), default=0.0)


def shrinkage_factor(percent: float) -> float:
    """Give what to make a part larger by, so that it has its size once shrunk by `percent`."""
    return 1.0 / (1.0 - percent / 100.0)


def in_print_size(hold: Hold) -> dict[str, Solid]:
    """Give the solids of a hold, by name, larger by the shrinkage factor."""
    factor = shrinkage_factor(shrinkage_percent(hold))
    if factor == 1.0:
        return dict(hold.solids)
    return {name: solid.moved(np.diag([factor, factor, factor, 1.0])) for name, solid in hold.solids.items()}


def finished_parts(hold: Hold, chosen: Sequence[str] | None = None) -> tuple[Part, ...]:
    """Round the solids of a hold for files.

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
        When there is no solid, or one does not stay closed in single precision.
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
    factor = shrinkage_factor(shrinkage_percent(hold))
    return tuple(
        _part(name, solid, factor) for name, solid in hold.solids.items() if chosen is None or name in chosen
    )


def written_as(solid: Solid, factor: float = 1.0) -> tuple[PrintedMesh, Closedness]:
    """Give the mesh that stands for a solid in files, and what a reader will make of it."""
    mesh = printed_mesh(solid.vertices, solid.triangles, factor)
    return mesh, closedness(mesh.vertices, mesh.triangles)


def _part(name: str, solid: Solid, factor: float) -> Part:
    mesh, found = written_as(solid, factor)
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
