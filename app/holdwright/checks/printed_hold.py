"""What the checks look at: a finished hold on the bed, and how it is printed."""

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol, TypeVar

from holdwright.catalogue.catalogue import Catalogue
from holdwright.geometry.layers.layer_stack import Slices, slices
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Rim
from holdwright.hold.hold import CORE, Hold
from holdwright.printing.part_estimates import all_settings
from holdwright.printing.print_parameters import PrintParameters
from holdwright.printing.print_settings import PartSettings

T = TypeVar("T")


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
    scale: float = 1.0
    """Print size by true size: the allowance for shrinkage."""
    memory: Memory | None = None
    """Where measures are kept that several checks or runs need."""

    @classmethod
    def of(
        cls,
        hold: Hold,
        requested: PrintParameters,
        catalogue: Catalogue,
        scale: float = 1.0,
        memory: Memory | None = None,
    ) -> "PrintedHold":
        """Look the rows of the settings up; errors as of `part_settings`."""
        return cls(hold, requested, all_settings(hold.solids, requested, catalogue), scale, memory)

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

    @cached_property
    def layers(self) -> Mapping[str, Slices]:
        """The layers of each part."""
        return {name: slices(solid, self.settings[name].rule) for name, solid in self.parts.items()}
