"""The value that travels down the pipeline."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Final, TypeVar

import numpy as np

from holdwright.errors import GeometryError, ParameterError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Feature

F = TypeVar("F", bound=Feature)

WHOLE: Final = "whole"
SHELL: Final = "shell"
CORE: Final = "core"


@dataclass(frozen=True, eq=False)
class Hold:
    """A hold on its way from sculpt to parts. Never changed: each step gives a new one."""

    sculpt: Sculpt | None = None
    """The raw sculpt, before import only."""
    solids: Mapping[str, Solid] = field(default_factory=lambda: MappingProxyType({}))
    """By name: "whole" before the split, "shell" and "core" after it. mm; once turned to the wall, up is +y,
    the hold grows to +z, and after the trim z = 0 is the finished back."""
    features: tuple[Feature, ...] = ()
    """What was done so far, in order."""
    placement: Floats = field(default_factory=lambda: np.eye(4))
    """(4, 4) similarity from the sculpt's coordinates (file units, `Sculpt.origin` already off) to the
    hold's."""
    sized: bool = False
    """Whether lengths are true millimetres yet; False between an import whose unit is to come from the
    envelope and the step that scales to it. Until then the solid is 100 units across, to no scale."""

    laid: Floats | None = None
    """(4, 4) similarity from the sculpt's coordinates to those of the sculpt its recipe was made with; None
    where it was not laid on that."""

    @property
    def whole(self) -> Solid:
        """The one solid before the split.

        Raises
        ------
        GeometryError
            When there is none: nothing imported yet, or already split.
        """
        try:
            return self.solids[WHOLE]
        except KeyError:
            split = "it is already split into shell and core; move the step"
            missing = "no sculpt was imported; have the step Import done again, it is skipped"
            reason = split if SHELL in self.solids else missing
            raise GeometryError(f"This step works on the whole hold, but {reason}.") from None

    def check_size(self, what: str) -> None:
        """Refuse, with a `ParameterError`, what is requested in millimetres of a hold without true size."""
        if not self.sized:
            raise ParameterError(f"{what}, but the hold has no true size yet; scale it before this step.")

    def with_whole(self, solid: Solid, *features: Feature) -> "Hold":
        """Give the hold with another whole solid and further features."""
        return replace(self, solids=MappingProxyType({WHOLE: solid}), features=(*self.features, *features))

    def with_parts(self, parts: Mapping[str, Solid], *features: Feature) -> "Hold":
        """Give the hold with these solids in place of the present ones, and further features."""
        return replace(self, solids=MappingProxyType(dict(parts)), features=(*self.features, *features))

    def moved(self, matrix: Floats) -> "Hold":
        """Give the hold after a similarity: solids, features and placement together."""
        return replace(
            self,
            solids=MappingProxyType({name: solid.moved(matrix) for name, solid in self.solids.items()}),
            features=tuple(feature.moved(matrix) for feature in self.features),
            placement=matrix @ self.placement,
        )

    def find(self, kind: type[F]) -> tuple[F, ...]:
        """Give the features of one kind, in order."""
        return tuple(feature for feature in self.features if isinstance(feature, kind))
