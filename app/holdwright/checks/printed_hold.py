"""What the checks look at: a finished hold on the bed, and how it is printed."""

import hashlib
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final, Protocol, TypeVar

import numpy as np

from holdwright.catalogue.catalogue import Catalogue
from holdwright.checks.faces import middles, outward
from holdwright.geometry.arrays import Floats, Indices, Mask
from holdwright.geometry.layers.in_air import InAir, in_air
from holdwright.geometry.layers.layer_stack import FINE, Slices, slices, stacked
from holdwright.geometry.measure.ray_tree import RayTree
from holdwright.geometry.measure.sections import inside
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.relief.pocket import grown
from holdwright.hold.feature import BackPocket, Rim
from holdwright.hold.hold import CORE, SHELL, Hold
from holdwright.printing.allowances import Allowances, hold_allowances
from holdwright.printing.part_estimates import all_settings
from holdwright.printing.print_parameters import PrintParameters
from holdwright.printing.print_settings import PartSettings
from holdwright.progress import SILENT, Progress

T = TypeVar("T")

TOUCHES: Final = 0.05
"""Parts nearer than this lie against each other, mm."""

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
    _trees: dict[str, RayTree] = field(default_factory=dict, init=False, repr=False)
    _layers: list[Slices] = field(default_factory=list, init=False, repr=False)
    _made: dict[str, tuple[object, object]] = field(default_factory=dict, init=False, repr=False)

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
        # A whole hold is printed as a shell.
        parts = {CORE if name == CORE else SHELL: each for name, each in self.settings.items()}
        rows: dict[str, object] = {f"{name}_material": each.material for name, each in parts.items()}
        rows["machine"] = next(iter(parts.values())).machine
        return tuple((getattr(self.requested, name), repr(rows.get(name))) for name in uses)

    def remembered(self, name: str, made_from: object, make: Callable[[], T], weight: int = 100_000) -> T:
        """Make something, unless it is remembered under a name as made from the same."""
        kept_for, kept = self._made.get(name, (None, None))
        if kept is None or kept_for != made_from:
            key = f"check {name}", (self.digest, made_from)
            kept = self.memory.get(*key) if self.memory is not None else None
            if kept is None:
                kept = make()
                if self.memory is not None:
                    self.memory.put(*key, kept, weight)
            self._made[name] = made_from, kept
        return kept  # type: ignore[return-value]

    def tree(self, name: str) -> RayTree:
        """Give what tells where rays meet a part."""
        if name not in self._trees:
            self._trees[name] = RayTree(self.parts[name].mesh)
        return self._trees[name]

    def at_other_part(self, name: str, faces: Indices) -> Mask:
        """Tell which faces (k,) of a part, by number, lie against another part: printed, there is no gap."""
        mesh = self.parts[name].mesh
        away = outward(mesh, faces)
        origins = middles(mesh, faces) - TOUCHES / 2.0 * away
        against = np.zeros(len(faces), dtype=np.bool_)
        for other in (each for each in self.parts if each != name):
            against |= self.tree(other).first_hits(origins, away, TOUCHES)[1] >= 0
        return against

    def in_ceiling(self, points: Floats) -> Mask:
        """Tell which places (n, 3) lie in the ceiling of a pocket in the back: its own step tells of it."""
        found = np.zeros(len(points), dtype=np.bool_)
        for pocket in self.hold.find(BackPocket):
            level = np.flatnonzero(np.abs(points[:, 2] - pocket.depth) < self.requested.layer_height)
            found[level] |= inside(points[level, :2], grown(pocket.drawn, self.requested.line_width))
        return found

    @property
    def bed(self) -> float:
        """Height of the bed, mm: stock below the finished back lies on it."""
        return min(float(solid.bounds[0, 2]) for solid in self.parts.values())

    @property
    def lean(self) -> float:
        """How far a layer may reach beyond the one below it, mm: by the least slope."""
        slope = math.radians(self.requested.limit_angle)
        return self.requested.layer_height / math.tan(slope) if slope > 0.0 else self.requested.line_width

    def in_air(self, progress: Progress = SILENT) -> tuple[InAir, ...]:
        """Give what of the layers of the hold, its parts printed as one, has nothing below it."""

        def find() -> tuple[InAir, ...]:
            layers = self.layers(progress.part(0.0, 0.5))
            return tuple(in_air(layers, self.lean, self.requested.line_width, progress.part(0.5, 1.0)))

        return self.remembered("in_air", self.values(IN_AIR), find)

    def layers(self, progress: Progress = SILENT) -> Slices:
        """Give the layers of the hold, its parts printed as one, counted from the bed."""
        if not self._layers:
            rules = {name: each.rule for name, each in self.settings.items()}
            parts = [slices(each, rules[name], progress, self.bed) for name, each in self.parts.items()]
            self._layers.append(stacked(parts, FINE * self.requested.line_width))
        return self._layers[0]
