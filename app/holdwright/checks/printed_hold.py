"""What the checks look at: a finished hold on the bed, and how it is printed."""

import hashlib
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final, Protocol, TypeVar

from holdwright.catalogue.catalogue import Catalogue
from holdwright.geometry.layers.in_air import InAir, in_air
from holdwright.geometry.layers.layer_stack import Slices, slices
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Rim
from holdwright.hold.hold import CORE, Hold
from holdwright.printing.allowances import Allowances, hold_allowances
from holdwright.printing.part_estimates import all_settings
from holdwright.printing.print_parameters import PrintParameters
from holdwright.printing.print_settings import PartSettings

T = TypeVar("T")

IN_AIR: Final = ("layer_height", "line_width", "limit_angle")
"""The settings that `PrintedHold.in_air` depends on."""


class Memory(Protocol):
    """Remembers of each name the latest thing, with what it was made from."""

    def get(self, operation: str, made_from: object) -> object:
        """Give the thing of a name if it was made from the same; None otherwise."""
        ...

    def put(self, operation: str, made_from: object, thing: object, weight: int) -> None:
        """Remember a thing of so many bytes in place of the one before."""
        ...


@dataclass(frozen=True, eq=False)
class PrintedHold:
    """A finished hold and its settings.

    It is printed on its back: the frame of the hold, z up, is that of the bed but for a shift and a turn
    about z. All solids are in true size.
    """

    hold: Hold
    requested: PrintParameters
    settings: Mapping[str, PartSettings]
    """By the name of each part."""
    allowances: Allowances
    """Between true size and print size."""
    memory: Memory | None = None
    """Where measures are kept that several checks or runs need."""

    @classmethod
    def of(
        cls,
        hold: Hold,
        requested: PrintParameters,
        catalogue: Catalogue,
        memory: Memory | None = None,
    ) -> "PrintedHold":
        """Look the rows of the settings up; errors as of `part_settings`."""
        settings = all_settings(hold.solids, requested, catalogue)
        return cls(hold, requested, settings, hold_allowances(hold, requested, catalogue), memory)

    @property
    def parts(self) -> Mapping[str, Solid]:
        """The solids that are printed, by name."""
        return self.hold.solids

    @property
    def shell(self) -> Solid:
        """The part with the gripping surface: the shell, or the whole hold where it is not split."""
        return next(solid for name, solid in self.parts.items() if name != CORE)

    @property
    def core(self) -> Solid | None:
        """The core, where there is one."""
        return self.parts.get(CORE)

    @property
    def rim(self) -> Rim | None:
        """The rim of the finished back; None before the trim."""
        return next(reversed(self.hold.find(Rim)), None)

    @cached_property
    def digest(self) -> str:
        """Names solids and features by their content."""
        content = [(name, solid.digest) for name, solid in self.parts.items()]
        return hashlib.blake2b(repr((content, self.hold.features)).encode(), digest_size=16).hexdigest()

    def values(self, uses: tuple[str, ...]) -> tuple[object, ...]:
        """Give the settings of these names, and the rows that they name."""
        rows: dict[str, object] = {f"{name}_material": each.material for name, each in self.settings.items()}
        rows["machine"] = next(iter(self.settings.values())).machine
        return tuple((getattr(self.requested, name), repr(rows.get(name))) for name in uses)

    def remembered(self, name: str, made_from: object, make: Callable[[], T], weight: int = 100_000) -> T:
        """Make something, unless it is remembered under a name as made from the same."""
        key = f"check {name}", (self.digest, made_from)
        kept = self.memory.get(*key) if self.memory is not None else None
        if kept is not None:
            return kept  # type: ignore[return-value]
        made = make()
        if self.memory is not None:
            self.memory.put(*key, made, weight)
        return made

    @property
    def bed(self) -> float:
        """Height of the bed, mm: stock below the finished back lies on it."""
        return min(float(solid.bounds[0, 2]) for solid in self.parts.values())

    @property
    def lean(self) -> float:
        """How far a layer may reach beyond the one below it, mm: by the least slope."""
        slope = math.radians(self.requested.limit_angle)
        return self.requested.layer_height / math.tan(slope) if slope > 0.0 else self.requested.line_width

    @cached_property
    def in_air(self) -> Mapping[str, tuple[InAir, ...]]:
        """What of the layers of each part has nothing below it."""

        def find() -> dict[str, tuple[InAir, ...]]:
            width = self.requested.line_width
            return {name: tuple(in_air(each, self.lean, width)) for name, each in self.layers.items()}

        return self.remembered("in_air", self.values(IN_AIR), find)

    @cached_property
    def layers(self) -> Mapping[str, Slices]:
        """The layers of each part."""
        return {name: slices(solid, self.settings[name].rule) for name, solid in self.parts.items()}
