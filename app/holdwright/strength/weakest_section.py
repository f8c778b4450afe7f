"""A second opinion on slender projections: the weakest section of a lip, as a beam of skin and infill.

Sections across the way from the load to the bolt are taken for those of a beam: force and moment in each
follow from statics, stresses from the transformed section (Gere and Timoshenko, Mechanics of Materials,
section 6.3, from memory), unsymmetric bending included. On a projection at least as long as its section is
deep that came within -7 to +32 % of our own elements; on blunt bodies it says nothing, and is not given.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.base.wall_rotation import to_wall
from holdwright.geometry.measure.projecting_piece import ProjectingPiece, projecting_piece
from holdwright.geometry.measure.sections import Outlines, inside, section
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.relief.pocket import grown
from holdwright.joint.outline import moments
from holdwright.strength.load_cases import PATCH
from holdwright.strength.printed_parts import PrintedPart

SLENDER: Final = 1.25
"""Least distance of the load from a section, square to it, by the depth of the section along the bending."""

CLEAR: Final = 0.75
"""The same by the patch that the load is spread over: else much of that enters beyond the section."""

STATIONS: Final = (0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
"""Where sections are taken on the way from the load to the bolt, by its length."""

_FREE: Final = 1.0
"""A piece that comes nearer to the wall than this stands on it, mm."""

TURNS: Final = (0.0, -0.45, 0.45)
"""How far planes are turned off that way, to either side and about either axis, as tangents."""


@dataclass(frozen=True)
class BeamSection:
    """A section as a beam's."""

    place: tuple[float, float, float]
    normal: tuple[float, float, float]
    """place, normal: its centroid, weighed by stiffness, and its unit normal toward the load."""
    area: float
    """mm2."""
    depth: float
    """Along the bending, mm."""
    skin_stress: float
    infill_stress: float
    """skin_stress, infill_stress: greatest normal stress of either sign, MPa."""

    def used(self, part: PrintedPart, bears: float) -> float:
        """Give the greater stress by what skin and infill bear; the solid bears so many MPa."""
        return max(self.skin_stress / bears, self.infill_stress / (bears * part.infill_strength.likely))


def composite_stress(
    outlines: Outlines, skin: float, infill: float, force: float, moment: Floats
) -> tuple[Floats, float, float, float]:
    """Bend a section of skin round infill.

    Parameters
    ----------
    outlines
        Closed, (n, 2) mm; holes run clockwise and have a skin too.
    skin
        Its thickness, mm.
    infill
        Modulus of the infill by that of the skin.
    force
        Along the section's normal, toward the load, N: tension positive.
    moment
        (2,) first moment of the stress about the origin, N mm.

    Returns
    -------
    tuple
        Centroid (2,) mm, greatest stress of skin and of infill in MPa, and depth along the bending, mm.
    """
    inner = grown(outlines, -skin) if skin > 0.0 else list(outlines)
    whole, inside = moments(outlines), moments(inner)
    weight = whole.area - (1.0 - infill) * inside.area
    first = whole.first - (1.0 - infill) * inside.first
    centre = first / weight
    second = whole.second - (1.0 - infill) * inside.second - weight * np.outer(centre, centre)
    bending = np.linalg.solve(second, moment - force * centre)
    corners = np.concatenate(outlines)
    stress = force / weight + (corners - centre) @ bending
    within = np.concatenate([np.empty((0, 2)), *inner])
    inside_stress = infill * (force / weight + (within - centre) @ bending)
    along = bending / max(float(np.linalg.norm(bending)), 1e-300)
    depth = float(np.ptp(corners @ along))
    return centre, float(np.abs(stress).max()), float(np.abs(inside_stress).max(initial=0.0)), depth


def weakest_section(
    solid: Solid,
    part: PrintedPart,
    force: Floats,
    middle: Floats,
    foot: Floats,
    bears: float,
    core: Solid | None = None,
) -> BeamSection | None:
    """Find the section of a slender projection that a load uses most; None where it loads none.

    Parameters
    ----------
    solid
        The hold in one, finished back on z = 0, mm.
    part
        How it is printed where it projects.
    force, middle
        (3,) N, and the point (3,) it acts at.
    foot
        (3,) where the bolt holds: the middle of its seat.
    bears
        Strength of the solid along the load's way, MPa.
    core
        Solid core and collars: a section that meets them is no beam of skin and infill alone.
    """
    way = foot - middle
    found = []
    for share in STATIONS:
        for normal in _normals(-way):
            axes = to_wall(normal)
            cut = projecting_piece(solid, middle, axes, float(axes[2] @ (middle + share * way)))
            if cut is None or (core is not None and _crosses(core, cut)):
                continue
            beam = _beam(cut, part, force, middle, foot)
            if beam is not None:
                found.append(beam)
    return max(found, key=lambda each: each.used(part, bears), default=None)


def _crosses(core: Solid, cut: ProjectingPiece) -> bool:
    """Tell whether a core lies in the section of a piece."""
    outlines = section(core.moved(placement(cut.axes)), cut.height)
    return any(bool(inside(each, cut.outlines).any()) for each in outlines)


def _normals(toward: Floats) -> list[Floats]:
    axes = to_wall(toward / np.linalg.norm(toward))
    turned = [(a, b) for a in TURNS for b in TURNS if not (a and b)]
    return [
        np.asarray(each / np.linalg.norm(each))
        for each in (axes[2] + a * axes[0] + b * axes[1] for a, b in turned)
    ]


def _beam(
    cut: ProjectingPiece, part: PrintedPart, force: Floats, middle: Floats, foot: Floats
) -> BeamSection | None:
    """Take a piece for a beam; None where it is none: it has the bolt or the back in it, or is blunt."""
    if cut.low[2] < _FREE or bool(((foot >= cut.low) & (foot <= cut.high)).all()):
        return None
    u, v, normal = cut.axes
    pull, moment = float(force @ normal), np.cross(middle - cut.at(np.zeros(2)), force)
    # The load's moment about the plane's origin, as the first moment of the stress that balances it.
    first = np.array([-(moment @ v), moment @ u])
    infill = 1.0 if part.is_solid else part.infill_modulus.likely
    centre, skin_stress, infill_stress, depth = composite_stress(cut.outlines, part.skin, infill, pull, first)
    place = cut.at(centre)
    if normal @ (middle - place) < max(SLENDER * depth, CLEAR * PATCH):
        return None
    area = moments(cut.outlines).area
    where, facing = (tuple(each.tolist()) for each in (place, normal))
    return BeamSection(where, facing, area, depth, skin_stress, infill_stress)
