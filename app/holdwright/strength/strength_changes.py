"""What changes of the print, or another place of the bolt, would do to the load that breaks a hold."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import nan
from typing import Final

import numpy as np

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import Cancelled, HoldwrightError
from holdwright.printing.print_parameters import PrintParameters
from holdwright.progress import Progress
from holdwright.strength.breaking_load import borne_by
from holdwright.strength.cell_choice import cell_size
from holdwright.strength.hold_model import SolvedHold, solve_hold
from holdwright.strength.load_cases import PatchLoad, patch_loads
from holdwright.strength.loaded_hold import LoadedHold
from holdwright.strength.printed_parts import DIRECTIONS, PrintedPart, printed_parts
from holdwright.strength.strength_result import Change, ChangeKind

OtherHold = LoadedHold | str
"""A hold with its bolt elsewhere, or why there is none."""

INFILLS: Final = (20.0, 30.0, 50.0, 100.0)
PASSES: Final = (1, 2, 3, 4)
DIRECTION_NAMES: Final = {"z": "back on the bed", "x": "on its side", "y": "on its lower edge"}


@dataclass(frozen=True)
class Found:
    """What a hold bears."""

    load: float
    """That breaks it, by the load it is judged for."""
    deflection: float
    """Greatest, mm."""


def found_in(
    solved: SolvedHold, parts: Mapping[str, PrintedPart], printed: str, softer: float = 1.0
) -> Found:
    """Give what the worst load comes to, printed in a direction.

    Parameters
    ----------
    softer
        So many times the hold's own part of the bending is reckoned, with moduli as many times lower: wall
        and bolts give what they gave. How loads are shared among them is taken to stay.
    """
    direction = np.array(DIRECTIONS[printed])
    loads = [
        each.breaks_at(borne_by(solved.regions, each.region, parts), direction) for each in solved.stress
    ]
    bent = [
        each * (1.0 + own * (softer - 1.0)) for each, own in zip(solved.deflections, solved.own, strict=True)
    ]
    return Found(min(loads), max(bent))


@dataclass(frozen=True, eq=False)
class _Today:
    """The hold as it is, solved on the preview's cells."""

    loaded: LoadedHold
    requested: PrintParameters
    catalogue: Catalogue
    patches: Sequence[PatchLoad]
    solved: SolvedHold
    parts: Mapping[str, PrintedPart]
    found: Found

    def change(
        self, kind: ChangeKind, name: str, found: Found, *, solved: bool, today: bool = False
    ) -> Change:
        """Compare with today."""
        load, bent = found.load / self.found.load, found.deflection / self.found.deflection
        return Change(kind, name, load, bent, solved, today)

    def printed(
        self, kind: ChangeKind, name: str, changes: Mapping[str, object], progress: Progress
    ) -> Change:
        """Solve the hold printed otherwise and compare."""
        found = self.solve(changes, progress)
        if isinstance(found, str):
            return Change(kind, name, nan, nan, True, refused=found)
        return self.change(kind, name, found_in(*found, self.requested.print_direction), solved=True)

    def solve(
        self, changes: Mapping[str, object], progress: Progress
    ) -> tuple[SolvedHold, Mapping[str, PrintedPart]] | str:
        """Solve the hold printed otherwise, or say why that cannot be done."""
        try:
            parts = self.parts_with(changes)
            return solve_hold(self.loaded, parts, self.patches, self.solved.grid.cell, progress), parts
        except Cancelled:
            raise
        except HoldwrightError as error:
            return str(error)

    def parts_with(self, changes: Mapping[str, object]) -> Mapping[str, PrintedPart]:
        """Give how parts are printed with other settings; errors as of `printed_parts`."""
        requested = self.requested.model_copy(update=dict(changes))
        return printed_parts(self.loaded.parts, requested, self.catalogue)


def changes_of(
    loaded: LoadedHold,
    requested: PrintParameters,
    catalogue: Catalogue,
    patches: Sequence[PatchLoad],
    solved: SolvedHold,
    others: Iterable[tuple[str, OtherHold]],
    progress: Progress,
) -> tuple[Change, ...]:
    """Give what changes would do, as ratios to today: on the preview's cells, or coarser ones asked for.

    Parameters
    ----------
    solved
        The hold as it is, on the cells asked for.
    others
        As of `hold_strength`.
    """
    parts = printed_parts(loaded.parts, requested, catalogue)
    cell, now = cell_size(loaded, "preview"), solved
    if solved.grid.cell < cell - 1e-9:
        now = solve_hold(loaded, parts, patches, cell, progress.part(0.0, 0.1))
    found = found_in(now, parts, requested.print_direction)
    today = _Today(loaded, requested, catalogue, patches, now, parts, found)
    return (
        *_infills(today, progress.part(0.1, 0.4)),
        *_skins(today, progress.part(0.4, 0.65)),
        *_materials(today, progress.part(0.65, 0.7)),
        *_directions(today),
        *_bolts(today, others, progress.part(0.7, 1.0)),
    )


def _infills(today: _Today, progress: Progress) -> Iterator[Change]:
    now = today.requested.shell_infill
    wanted = sorted({*INFILLS, now})
    for number, share in enumerate(wanted):
        name, part = f"{share:g} %", progress.part(number / len(wanted), (number + 1) / len(wanted))
        if share == now:
            yield today.change("infill", name, today.found, solved=False, today=True)
        else:
            yield today.printed("infill", name, {"shell_infill": share}, part)


def _skins(today: _Today, progress: Progress) -> Iterator[Change]:
    now = today.requested.passes
    wanted = sorted({*PASSES, now})
    for number, passes in enumerate(wanted):
        name = f"{passes} pass{'' if passes == 1 else 'es'}, {passes * today.requested.line_width:g} mm"
        part = progress.part(number / len(wanted), (number + 1) / len(wanted))
        if passes == now:
            yield today.change("skin", name, today.found, solved=False, today=True)
        else:
            yield today.printed("skin", name, {"passes": passes}, part)


def _materials(today: _Today, progress: Progress) -> Iterator[Change]:
    """Make all parts of one material: stress stays, and of the bending what the hold itself gives follows.

    Where they are of several, it is solved for the first one throughout, from which the others follow.
    """
    names = [each.name for each in today.catalogue.materials if each.printed_strength is not None]
    now = tuple(dict.fromkeys(part.material for part in today.parts.values()))
    solved, base, added = today.solved, today.parts, ""
    if len(now) > 1:
        words = ", ".join(f"{part} {each.material}" for part, each in today.parts.items())
        yield today.change("material", words, today.found, solved=False, today=True)
        found = today.solve(_all_of(names[0]), progress)
        if isinstance(found, str):
            yield Change("material", f"{names[0]} throughout", nan, nan, True, refused=found)
            return
        (solved, base), added = found, " throughout"
    before = next(iter(base.values()))
    for name in names:
        parts = today.parts_with(_all_of(name))
        softer = before.modulus.likely / next(iter(parts.values())).modulus.likely
        other = found_in(solved, parts, today.requested.print_direction, softer)
        anew = bool(added) and name == before.material
        yield today.change("material", name + added, other, solved=anew, today=now == (name,))


def _all_of(material: str) -> Mapping[str, object]:
    return {"shell_material": material, "core_material": material}


def _directions(today: _Today) -> Iterator[Change]:
    """Print it otherwise: stress stays as it is."""
    for direction, name in DIRECTION_NAMES.items():
        found = found_in(today.solved, today.parts, direction)
        now = direction == today.requested.print_direction
        yield today.change("print direction", name, found, solved=False, today=now)


def _bolts(today: _Today, others: Iterable[tuple[str, OtherHold]], progress: Progress) -> Iterator[Change]:
    """Put the bolt elsewhere: the same loads on a hold that is bored and tightened there."""
    for number, (name, other) in enumerate(others):
        if isinstance(other, str):
            yield Change("bolt", name, nan, nan, True, refused=other)
            continue
        try:
            patches = patch_loads(other.grip, [(each.force, each.middle) for each in today.patches])
            part = progress.part(min(number / 3.0, 0.9), min((number + 1) / 3.0, 1.0))
            solved = solve_hold(other, today.parts, patches, today.solved.grid.cell, part)
        except Cancelled:
            raise
        except HoldwrightError as error:
            yield Change("bolt", name, nan, nan, True, refused=str(error))
            continue
        found = found_in(solved, today.parts, today.requested.print_direction)
        yield today.change("bolt", name, found, solved=True)
