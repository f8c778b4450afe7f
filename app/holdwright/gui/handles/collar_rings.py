"""The rings round screw holes that the core's handles draw: all collars have one diameter."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.gui.handles.ghost_drawing import GhostPainter
from holdwright.gui.handles.shapes import ring
from holdwright.hold.feature import Collar, Feature, ScrewHole


@dataclass(frozen=True)
class CollarRings:
    """Collars as the pointer widens them."""

    collars: tuple[Collar, ...] = ()
    """As they were made, or will be."""
    least: float = 0.0
    """The narrowest that the heads of the screws allow, mm."""

    @classmethod
    def of(cls, features: Iterable[Feature], diameter: float) -> "CollarRings":
        """Take the collars from what the step gave, with the diameter requested; 0: as they are."""
        features = tuple(features)
        collars = [each for each in features if isinstance(each, Collar)]
        heads = [each.head_diameter for each in features if isinstance(each, ScrewHole)]
        made = cls(tuple(collars), max(heads, default=0.0))
        return made.sized(diameter) if diameter else made

    def sized(self, diameter: float) -> "CollarRings":
        """Give them with another diameter, none narrower than its head."""
        size = max(diameter, self.least)
        return replace(self, collars=tuple(replace(each, diameter=size) for each in self.collars))

    def foot(self, number: int) -> Floats:
        """Give the foot (3,) of a collar."""
        return np.array([self.collars[number].x, self.collars[number].y, 0.0])

    def rings(self, end: str) -> list[Floats]:
        """Give the rings at the wall ("foot") or at the collars' other ends ("head"), each a polyline."""
        found = []
        for number, each in enumerate(self.collars):
            axis = np.array(each.axis)
            up = each.top * axis if end == "head" else 0.0
            found.append(ring(self.foot(number) + up, axis, each.diameter / 2))
        return found

    def left_by(self, section: tuple[Floats, Floats] | None) -> list[int]:
        """Give the numbers of collars that a section, origin and normal of its plane, leaves some of."""
        rings = enumerate(self.rings("foot"))
        if section is None:
            return [number for number, _ in rings]
        origin, normal = section
        return [number for number, foot in rings if ((foot - origin) @ normal).min() < 0.0]

    def draw(self, painter: GhostPainter, hot: str, section: tuple[Floats, Floats] | None) -> None:
        """Draw the rings of what is not cut away; `hot` names the grip under the pointer."""
        feet, heads = self.rings("foot"), self.rings("head")
        for number in self.left_by(section):
            name = f"collar {number}"
            painter.line(name, feet[number], hot=hot == name, through=True)
            painter.quiet_line(f"collar-end {number}", heads[number])


NO_COLLARS: Final = CollarRings()
