"""What the page of a comparison says and shows, apart from how it is set."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final

import numpy as np

from holdwright import __version__
from holdwright.geometry.measure.signed_distance import SignedDistance
from holdwright.geometry.mesh.boolean import stand_in
from holdwright.geometry.mesh.solid import Solid
from holdwright.joint.cautions import CAUTIONS
from holdwright.pipeline.views.revision_compare import RevisionCompared, lying_words
from holdwright.pipeline.views.surface_distance import reach_of
from holdwright.render.colour_scale import colour_at
from holdwright.render.picture import Pictures, View
from holdwright.render.tones import FAINT
from holdwright.sheet.collect import told_findings
from holdwright.sheet.content import SheetFinding, SheetTable
from holdwright.sheet.drawing import DOTS
from holdwright.sheet.marks import SMALL, Area, Image, Mark, Words

GAP: Final = 4.0
"""Between pictures, mm of paper."""
TALLEST: Final = 104.0
"""Of all pictures together, mm of paper."""
MOST_TRIANGLES: Final = 60_000
"""A hold of more is drawn without its finest detail."""
_HEAD, _SCALE, _STEPS = 5.0, 12.0, 48
_VIEWS: Final = (("front", "front"), ("side", "from the right"))


@dataclass(frozen=True, eq=False)
class ComparisonDrawing:
    """Both holds, and how far the new one is from the old one, from two sides and to one scale."""

    pictures: tuple[tuple[str, Pictures], ...]
    """By what stands over them."""
    reach: float
    """Distance at the end of the scale, mm."""

    @classmethod
    def of(cls, old: Solid, new: Solid, reach: float) -> "ComparisonDrawing":
        """Make it of holds in one frame, mm."""
        before, now = (stand_in(each, MOST_TRIANGLES) for each in (old, new))
        off = SignedDistance(old.mesh).of(now.vertices).astype(np.float32)
        coloured = Pictures({"whole": now}, {"whole": off}, reach)
        pictures = (
            ("before", Pictures({"whole": before})),
            ("now", Pictures({"whole": now})),
            ("now, distance from before", coloured),
        )
        return cls(pictures, reach)

    def marks(self, wide: float) -> tuple[list[Mark], float]:
        """Draw it so many mm of paper wide; give its marks and its height."""
        columns = len(self.pictures)
        views = [View(name) for name, _ in _VIEWS]
        sizes = np.array([[np.ptp(each.extent(view), axis=0) for _, each in self.pictures] for view in views])
        tallest = TALLEST - GAP * len(views)
        across = (wide / columns - GAP) / sizes[:, :, 0].max()
        scale = float(min(across, tallest / sizes[:, :, 1].max(axis=1).sum()))
        rows = sizes[:, :, 1].max(axis=1) * scale + 2.0
        height = float(rows.sum()) + _HEAD + _SCALE + GAP * (len(views) - 1)
        marks: list[Mark] = []
        top = height - _HEAD
        for row, view, (_, words) in zip(rows.tolist(), views, _VIEWS, strict=True):
            for column, (_, pictures) in enumerate(self.pictures):
                middle = (column + 0.5) * wide / columns
                marks.append(_picture(pictures, view, middle, top - row / 2.0, scale))
            marks.append(Words(0.0, top - row, words, anchor="start", colour=FAINT))
            top -= row + GAP
        for column, (words, _) in enumerate(self.pictures):
            marks.append(Words((column + 0.5) * wide / columns, height - SMALL, words, bold=True))
        marks += self._scale((columns - 1) * wide / columns + 2.0, wide - 2.0)
        return marks, height

    def _scale(self, left: float, right: float) -> Iterator[Mark]:
        """Draw the scale of colours with its figures, along the foot."""
        step = (right - left) / _STEPS
        for number in range(_STEPS):
            red, green, blue = colour_at((number + 0.5) / _STEPS, signed=True)
            x = left + number * step  # each over all that is left, so that no paper shows between two
            corners = ((x, 4.0), (right, 4.0), (right, 7.0), (x, 7.0))
            yield Area(corners, f"#{red:02X}{green:02X}{blue:02X}")
        middle = (left + right) / 2.0
        yield Words(left, 1.0, f"{-self.reach:.2g} mm and beyond", anchor="start", colour=FAINT)
        yield Words(middle, 1.0, "0", colour=FAINT)
        yield Words(right, 1.0, f"+{self.reach:.2g} mm and beyond", anchor="end", colour=FAINT)
        yield Words(left, 8.2, "less", anchor="start", colour=FAINT)
        yield Words(right, 8.2, "more", anchor="end", colour=FAINT)


def _picture(pictures: Pictures, view: View, x: float, y: float, scale: float) -> Image:
    """Draw a view round a middle on the paper."""
    wide, high = (np.ptp(pictures.extent(view), axis=0) * scale + 1.2).tolist()
    size = max(round(wide * DOTS), 1), max(round(high * DOTS), 1)
    return Image(x - wide / 2, y - high / 2, wide, high, pictures.drawn(view, size, DOTS * scale))


@dataclass(frozen=True, eq=False)
class ComparisonContent:
    """The page of a comparison."""

    name: str
    facts: tuple[str, ...]
    made: tuple[str, ...]
    """name, facts, made: as of `SheetContent`."""
    drawing: ComparisonDrawing
    figures: tuple[SheetTable, SheetTable]
    """Set beside each other."""
    gained: tuple[SheetFinding, ...]
    lost: tuple[SheetFinding, ...]
    cautions: tuple[str, ...]


def _table(title: str, rows: tuple[tuple[str, ...], ...]) -> SheetTable:
    return SheetTable(title, rows, ("before", "now", "change"), (4.4, 2.0, 2.0, 2.0))


def comparison_content(found: RevisionCompared, name: str, recipes: str, day: date) -> ComparisonContent:
    """Gather the page's content.

    Parameters
    ----------
    name
        Of both sculpts.
    recipes
        Name of the recipe, or of both.
    """
    distance, comparison = found.distance, found.comparison
    surface = (
        f"surface {distance.mean:.2f} mm off on the mean, 95 % within {distance.p95:.2f} mm, "
        f"at most {distance.gained:.2f} mm more and {distance.lost:.2f} mm less"
    )
    rows = tuple((each.name, *each.written) for each in comparison.figures)
    half = -(-len(rows) // 2)
    gained, lost = ([each for _, each in part] for part in (comparison.gained, comparison.lost))
    return ComparisonContent(
        name,
        (lying_words(found.lying).rstrip("."), surface),
        (day.isoformat(), f"recipe {recipes}", f"Holdwright {__version__}"),
        ComparisonDrawing.of(found.laid.old, found.laid.new, reach_of(distance.values)),
        (_table("What changed", rows[:half]), _table("", rows[half:])),
        tuple(told_findings(gained)),
        tuple(told_findings(lost)),
        CAUTIONS,
    )
