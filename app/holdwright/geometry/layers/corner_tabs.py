"""Thin discs round the corners of a part on the bed, which hold them down and are cut off after."""

from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, FillRule, JoinType, Manifold

from holdwright.geometry.layers.outline_corners import WIDEST, Corner, outline_corners
from holdwright.geometry.measure.sections import Outlines
from holdwright.geometry.mesh.circle import circle_points
from holdwright.geometry.mesh.solid import Solid

_SPECK = 0.5
SEGMENTS = 64


@dataclass(frozen=True)
class TabOptions:
    """How corner tabs are made; lengths in mm."""

    radius: float | None = None
    """Of each disc; none: `LEAST` and half the corner's own radius. Common practice, no source."""
    thickness: float = 0.4
    """One or two layers."""
    overlap: float = 0.2
    """How far a disc reaches into the part; below 0 it keeps that far away from it."""
    bed: float = 0.0
    """Height of the bed."""
    most: int = 8
    """At most so many tabs, at the corners that turn most."""
    widest: float = WIDEST
    """No tab at a corner of a larger radius."""
    brim: float = 0.0
    """Width of a brim round the part, which tabs go on from; 0 for none."""


LEAST = 8.0
"""Radius of a disc at a sharp corner, mm: common practice, no source."""


def tabbed_corners(outline: Outlines, options: TabOptions = TabOptions()) -> list[Corner]:
    """Choose the corners that get a tab; where two tabs would meet, only the one that turns more."""
    chosen: list[Corner] = []
    for corner in outline_corners(outline, options.widest):
        apart = (
            np.hypot(*(corner.place - each.place)) - tab_radius(corner, options) - tab_radius(each, options)
            for each in chosen
        )
        if min(apart, default=1.0) > 0.0:
            chosen.append(corner)
    return chosen[: options.most]


def tab_radius(corner: Corner, options: TabOptions) -> float:
    """Give the radius of the disc at a corner, mm."""
    return LEAST + corner.radius / 2.0 if options.radius is None else options.radius


def corner_tabs(outline: Outlines, options: TabOptions = TabOptions()) -> list[Solid]:
    """Make a tab for each of the sharpest corners of a part.

    Parameters
    ----------
    outline
        Closed outlines (n, 2) of the part on the bed, mm, material to their left.
    options
        How they are made.

    Returns
    -------
    list of Solid
        One for each tab, standing on the bed, none touching another; they do not overlap the part beyond
        `options.overlap`, nor its brim. Empty where the outline has no corner.
    """
    part = CrossSection(outline, FillRule.NonZero).offset(
        options.brim or -options.overlap, JoinType.Round, circular_segments=SEGMENTS
    )
    tabs = []
    for corner in tabbed_corners(outline, options):
        disc = CrossSection([circle_points(tab_radius(corner, options)) + corner.place]) - part
        # Where the disc reaches across the part, only what lies round the corner holds it down.
        pieces = [piece for piece in disc.decompose() if piece.area() > _SPECK]
        if pieces:
            tab = Manifold.extrude(max(pieces, key=CrossSection.area), options.thickness)
            tabs.append(Solid.checked(tab.translate((0.0, 0.0, options.bed)), "the corner tab"))
    return tabs
