"""Places and directions on a hold that follow it when it is moved."""

from dataclasses import dataclass, replace
from typing import Annotated, Any, ClassVar, Self

import numpy as np
from pydantic import Field

from holdwright.field_texts import add_field_texts
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import move_direction, move_points
from holdwright.hold.finding import Point, point


@dataclass(frozen=True)
class PlacedFeature:
    """Something whose places and directions, named here, follow the hold."""

    __pydantic_config__: ClassVar = {"extra": "forbid", "json_schema_extra": add_field_texts}
    """The report takes what it says of a feature from here."""

    _places: ClassVar[tuple[str, ...]] = ()
    _directions: ClassVar[tuple[str, ...]] = ()

    def moved(self, matrix: Floats) -> Self:
        """Follow the hold through a similarity, a rigid one that keeps z = 0 for what stands on the back."""
        changes: dict[str, Any] = {
            name: point(move_points(matrix, np.array(getattr(self, name)))) for name in self._places
        }
        for name in self._directions:
            changes[name] = point(move_direction(matrix, np.array(getattr(self, name))))
        return replace(self, **changes)


@dataclass(frozen=True)
class FeatureOnBack(PlacedFeature):
    """Something about an axis that starts on the finished back."""

    x: float
    y: float
    """Where the axis meets the finished back, with x."""
    axis: Annotated[Point, Field(description="Unit vector from the back outward.")]
    _directions: ClassVar[tuple[str, ...]] = ("axis",)

    def moved(self, matrix: Floats) -> Self:
        """Follow the hold through a rigid move that keeps the back on z = 0."""
        x, y, _ = move_points(matrix, np.array([self.x, self.y, 0.0])).tolist()
        return replace(super().moved(matrix), x=x, y=y)


@dataclass(frozen=True)
class PlaneFeature(PlacedFeature):
    """A plane with a side."""

    point: Point
    normal: Point
    """Its unit normal."""
    _places, _directions = ("point",), ("normal",)
