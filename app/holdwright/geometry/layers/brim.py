"""A brim: a thin rim on the bed round a part, which holds it down and is cut off after."""

from manifold3d import CrossSection, FillRule, JoinType, Manifold

from holdwright.geometry.layers.corner_tabs import SEGMENTS, TabOptions
from holdwright.geometry.measure.sections import Outlines, outer
from holdwright.geometry.mesh.solid import Solid


def brim(outline: Outlines, options: TabOptions) -> Solid | None:
    """Make the brim of a part, of the width that the options have.

    Parameters
    ----------
    outline
        Closed outlines (n, 2) of the part on the bed, mm, material to their left; holes get none.
    options
        Width, thickness, overlap and bed, as of corner tabs.

    Returns
    -------
    Solid | None
        None where it has no width.
    """
    if options.brim <= 0.0:
        return None
    part = CrossSection(outer(outline), FillRule.NonZero)
    inner, rim = (
        part.offset(by, JoinType.Round, circular_segments=SEGMENTS) for by in (-options.overlap, options.brim)
    )
    solid = Manifold.extrude(rim - inner, options.thickness).translate((0.0, 0.0, options.bed))
    return Solid.checked(solid, "the brim")
