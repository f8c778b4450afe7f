"""The layers of a solid: what of each is drawn along its outlines, filled solid, and filled with infill."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

import numpy as np
from manifold3d import CrossSection, JoinType, OpType

from holdwright.errors import GeometryError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.sections import Outlines
from holdwright.geometry.mesh.solid import Solid
from holdwright.progress import SILENT, Progress

FINE = 0.05
"""Points of outlines that stick out by less than so much of a line's width are left out, as a nozzle does."""

CORNER = 30.0
"""A path is turned sharply, and slowed down for, where it turns by more than this, degrees."""

STRETCH = 16
"""Layers from one report of progress to the next."""

_MITRE = 2.0

Slices = tuple[Floats, list[CrossSection]]
"""(n,) heights of the middles of layers, mm, and the section at each."""


@dataclass(frozen=True)
class LayerRule:
    """How layers are filled; lengths in mm."""

    height: float
    """Of a layer."""
    width: float
    """Of a line."""
    passes: int
    """Lines along each outline."""
    bottom: int
    top: int
    """bottom, top: solid layers above every face that looks down, and below every one that looks up."""


@dataclass(frozen=True, eq=False)
class Layer:
    """One layer, cut at its middle."""

    middle: float
    """Its height, mm."""
    passes: tuple[CrossSection, ...]
    """Middle line of each pass along the outlines, as what it encloses."""
    band: float
    """Area that the passes cover, mm2."""
    solid: CrossSection
    infill: CrossSection
    """solid, infill: what of the rest is filled solid, and with infill."""

    def outlines(self) -> tuple[list[Outlines], Outlines, Outlines]:
        """Give the outlines of each pass, of the solid and of the infill part, (n, 2) each, mm."""
        return [polygons(each) for each in self.passes], polygons(self.solid), polygons(self.infill)


@dataclass(frozen=True, eq=False)
class LayerFigures:
    """Figures of all layers from the bed up, (n,) each: areas in mm2, lengths in mm."""

    middle: Floats
    """Heights of the layers' middles, mm."""
    band: Floats
    solid: Floats
    infill: Floats
    """band, solid, infill: areas of the passes, of what is filled solid, and with infill."""
    pass_length: Floats
    """Of all passes."""
    outlines: Floats
    corners: Floats
    """outlines, corners: how many there are in all passes, and how many sharp turns in them."""
    edge: Floats
    """Length of the edge of what is filled, solid and infill."""

    @property
    def area(self) -> Floats:
        """Area of each layer, mm2."""
        return self.band + self.solid + self.infill


def polygons(part: CrossSection) -> Outlines:
    """Give closed outlines (n, 2) in mm, material to their left."""
    return [np.asarray(outline, dtype=np.float64) for outline in part.to_polygons()]


def slices(solid: Solid, rule: LayerRule, progress: Progress = SILENT, bed: float | None = None) -> Slices:
    """Cut a solid at the middle of each layer.

    Parameters
    ----------
    bed
        Height that layers are counted from, mm; None: the solid's own lowest.

    Raises
    ------
    GeometryError
        When not even one layer lies in it.
    """
    low = float(solid.bounds[0, 2]) if bed is None else bed
    high = float(solid.bounds[1, 2])
    height, fine = rule.height, FINE * rule.width
    count = int(np.floor((high - low) / height + 0.5))
    if count < 1:
        raise GeometryError(
            f"Layers of {height:g} mm were asked for in a part {high - low:.2g} mm high; choose thinner ones."
        )
    middles = np.asarray(low + height * (np.arange(count) + 0.5), dtype=np.float64)
    sections = []
    for n, z in enumerate(middles):
        if n % STRETCH == 0:
            progress.report(n / count, "cutting layers")
        sections.append(solid.kernel.slice(float(z)).simplify(fine))
    return middles, sections


def stacked(parts: Sequence[Slices], gap: float) -> Slices:
    """Put the layers of parts that lie side by side together, counted from one bed.

    Parameters
    ----------
    gap
        Gaps between them that are narrower than twice this are closed, mm.
    """
    if len(parts) == 1:
        return parts[0]
    middles = max((each for each, _ in parts), key=len)
    together = []
    for sections in zip_longest(*(each for _, each in parts), fillvalue=CrossSection()):
        met = [each for each in sections if not each.is_empty()]
        if len(met) > 1:
            joined = CrossSection.batch_boolean(met, OpType.Add)
            together.append(_inset(_inset(joined, -gap), gap))
        else:
            together.append(met[0] if met else CrossSection())
    return middles, together


def layers(solid: Solid, rule: LayerRule, progress: Progress = SILENT) -> Iterator[Layer]:
    """Fill each layer of a solid, from the bed up.

    Parameters
    ----------
    solid
        As it lies on the bed: z up, mm.

    Notes
    -----
    A pass follows the outline half a line within it, the next one a line farther in. What the passes leave is
    filled solid where one of the next `top` layers, or of the `bottom` ones before, does not cover it:
    the section common to a run of layers is found by doubling, so that a run costs its logarithm.
    """
    middles, sections = slices(solid, rule, progress.part(0.0, 0.5))
    progress = progress.part(0.5, 1.0)
    common = {count: _common(sections, count) for count in {rule.top, rule.bottom}}
    above = _covered(common[rule.top], range(1, len(sections) + 1))
    below = _covered(common[rule.bottom], range(-rule.bottom, len(sections) - rule.bottom))
    for n, (z, section) in enumerate(zip(middles, sections, strict=True)):
        if n % STRETCH == 0:
            progress.report(n / len(sections), "filling layers")
        rest = _inset(section, rule.passes * rule.width)
        covered = above[n] ^ below[n] if rule.top and rule.bottom else above[n] if rule.top else below[n]
        infill = rest ^ covered if rule.top or rule.bottom else rest
        passes = tuple(_inset(section, (k + 0.5) * rule.width) for k in range(rule.passes))
        yield Layer(float(z), passes, section.area() - rest.area(), rest - infill, infill)


def layer_figures(solid: Solid, rule: LayerRule, progress: Progress = SILENT) -> LayerFigures:
    """Measure every layer of a solid; parameters as of `layers`."""
    return figures_of(layers(solid, rule, progress))


def figures_of(filled_layers: Iterable[Layer]) -> LayerFigures:
    """Measure all layers of a solid, from the bed up."""
    rows, lines, edges = [], list[Outlines](), list[Outlines]()
    for layer in filled_layers:
        rows.append((layer.middle, layer.band, layer.solid.area(), layer.infill.area()))
        lines.append([outline for each in layer.passes for outline in polygons(each)])
        edges.append([*polygons(layer.solid), *polygons(layer.infill)])
    length, corners = _paths(lines)
    outlines = np.array([len(each) for each in lines], dtype=np.float64)
    middle, band, filled, infill = np.array(rows, dtype=np.float64).T
    return LayerFigures(middle, band, filled, infill, length, outlines, corners, _paths(edges)[0])


def too_narrow(layers: Slices, width: float) -> tuple[float, tuple[float, float, float], int]:
    """Find what a line does not fit into over as much height as it is wide: tops of slopes do not count.

    Parameters
    ----------
    width
        Of the line, mm.

    Returns
    -------
    tuple
        Area of the largest such part, mm2; a place in it, mm; and how many layers have a part larger than the
        square of a line's width.
    """
    middles, sections = layers
    lost = [each - _inset(_inset(each, width / 2.0), -width / 2.0) for each in sections]
    run = int(np.ceil(width / float(np.diff(middles).min(initial=width)))) + 1
    largest, place, number = 0.0, (0.0, 0.0, 0.0), 0
    for z, narrow in zip(middles, _common(lost, run), strict=False):
        if narrow.area() <= width * width:
            continue
        part = max(narrow.decompose(), key=lambda each: each.area())
        number += part.area() > width * width
        if part.area() > largest:
            x, y = polygons(part)[0].mean(axis=0).tolist()
            largest, place = part.area(), (x, y, float(z))
    return largest, place, number


def _inset(section: CrossSection, by: float) -> CrossSection:
    return section.offset(-by, JoinType.Miter, _MITRE) if by else section


def _common(sections: Sequence[CrossSection], count: int) -> list[CrossSection]:
    """Give what each section and those after it, `count` in all, have in common; none for the last ones."""
    common, run = list(sections) if count else [], 1
    while run < count:
        step = min(run, count - run)
        common = [one ^ other for one, other in zip(common, common[step:], strict=False)]
        run += step
    return common


def _covered(common: Sequence[CrossSection], runs: Iterable[int]) -> list[CrossSection]:
    """Choose what runs of layers cover in common; nothing beyond the last layer."""
    return [common[n] if 0 <= n < len(common) else CrossSection() for n in runs]


def _paths(layered: Sequence[Outlines]) -> tuple[Floats, Floats]:
    """Give the length of all closed outlines (n, 2) of each layer, and how many sharp turns they have."""
    outlines = [outline for each in layered for outline in each]
    points = np.concatenate([np.empty((0, 2)), *outlines])
    counts = np.array([len(outline) for outline in outlines], dtype=np.int64)
    ends = np.cumsum(counts)
    # All layers at once: most outlines are so short that a call for each costs more than the sum.
    after = np.arange(1, len(points) + 1)
    after[ends - 1] = ends - counts
    way = points[after] - points
    heading = np.arctan2(way[:, 1], way[:, 0])
    turn = np.abs((heading[after] - heading + np.pi) % (2 * np.pi) - np.pi)
    layer = np.repeat(np.arange(len(layered)), [sum(map(len, each)) for each in layered])
    figures = np.hypot(way[:, 0], way[:, 1]), turn > np.radians(CORNER)
    length, corners = (np.bincount(layer, each, len(layered)).astype(np.float64) for each in figures)
    return length, corners
