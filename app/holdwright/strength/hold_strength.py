"""Where a hold breaks first: the worst of its loads, on the grid asked for, and what changes would do."""

from collections.abc import Iterable, Mapping
from typing import Final

import numpy as np

from holdwright.catalogue.catalogue import Catalogue
from holdwright.geometry.arrays import Floats
from holdwright.hold.finding import point
from holdwright.hold.finding_builder import in_percent
from holdwright.hold.hold import CORE
from holdwright.printing.print_parameters import PrintParameters
from holdwright.progress import Progress
from holdwright.ranges import Range
from holdwright.strength.breaking_load import borne_by
from holdwright.strength.cell_choice import CellChoice, cell_size, size_alone
from holdwright.strength.hold_model import SolvedHold, solve_hold
from holdwright.strength.load_cases import PATCH, PatchLoad, candidate_loads, patch_loads
from holdwright.strength.loaded_hold import LoadedHold
from holdwright.strength.printed_parts import DIRECTIONS, PrintedPart, printed_parts
from holdwright.strength.strength_changes import DIRECTION_NAMES, OtherHold, changes_of
from holdwright.strength.strength_result import CaseStrength, StrengthResult
from holdwright.strength.weakest_section import BeamSection, weakest_section

CANDIDATES: Final = 16
"""Loads that are tried on coarse cells."""

CASES: Final = 4
"""The worst of them, which are kept."""

COARSE: Final = 2.0
"""Side of coarse cells, by that of the preview's."""

GRID_ERROR: Final = {"preview": 0.2, "fine": 0.15}
"""Share by which the measure may be off the truth: our own comparison with finer cells and with quadratic
tetrahedra. Most is lost in the lip of a jug, 17 and 12 %; elsewhere it is a third of that. Where skin, infill
and core meet, strength goes with the material that a cell counts as."""

LAW_ERROR: Final = 0.05
"""What the range of the infill's modulus does to the stress: our own computations with 20 to 50 %."""


def hold_strength(
    loaded: LoadedHold,
    requested: PrintParameters,
    catalogue: Catalogue,
    cells: CellChoice,
    others: Iterable[tuple[str, OtherHold]] | None,
    progress: Progress,
) -> StrengthResult:
    """Compute where a hold breaks first.

    Parameters
    ----------
    cells
        The preview's, the fine ones, or the side of a cell, mm.
    others
        The same hold with its bolt elsewhere, by the name of the place, or why there is none; None to leave
        out what changes would do.

    Raises
    ------
    CatalogueError, ParameterError
        When it is printed in a way that is outside the laws.
    GeometryError
        When the cells are too many or too coarse, or the solution does not converge.
    Cancelled
        When that is requested.
    """
    parts = printed_parts(loaded.parts, requested, catalogue)
    end = 0.35 if others is not None else 1.0
    patches = worst_loads(loaded, parts, requested, progress.part(0.0, 0.1 * end))
    cell = cell_size(loaded, cells)
    solved = solve_hold(loaded, parts, patches, cell, progress.part(0.1 * end, 0.9 * end))
    direction = np.array(DIRECTIONS[requested.print_direction])
    error = GRID_ERROR.get(str(cells), GRID_ERROR["fine" if cell <= cell_size(loaded, "fine") else "preview"])
    found = [_case(solved, number, parts, direction, error) for number in range(len(patches))]
    order = sorted(range(len(found)), key=lambda number: found[number].breaks_at.likely)
    first = order[0]
    progress.report(0.95 * end, "looking at the weakest section")
    section, load = _second(loaded, parts, patches[first], direction)
    changes = (
        changes_of(loaded, requested, catalogue, patches, solved, others, progress.part(end, 1.0))
        if others is not None
        else ()
    )
    return StrengthResult(
        cases=tuple(found[number] for number in order),
        changes=changes,
        patch=solved.hot_surface(
            first, borne_by(solved.regions, solved.stress[first].region, parts), direction, loaded.whole.mesh
        ),
        cell=cell,
        cells=solved.cells,
        grid_error=error,
        thin=solved.thin,
        second_opinion=section,
        second_load=load,
        printed=tuple(f"{name} {each.in_words}" for name, each in parts.items()),
        assumptions=_assumptions(loaded, parts, requested, solved),
        sources=tuple(sorted({f"{each.material}: {each.strength.source}." for each in parts.values()})),
    )


def worst_loads(
    loaded: LoadedHold, parts: Mapping[str, PrintedPart], requested: PrintParameters, progress: Progress
) -> list[PatchLoad]:
    """Try loads on coarse cells and keep those that break the hold soonest."""
    chosen = candidate_loads(loaded.loads, loaded.middle, loaded.load, CANDIDATES)
    patches = patch_loads(loaded.grip, chosen)
    if len(patches) <= CASES:
        return patches
    solved = solve_hold(loaded, parts, patches, COARSE * cell_size(loaded, "preview"), progress)
    direction = np.array(DIRECTIONS[requested.print_direction])
    times = [
        each.breaks_at(borne_by(solved.regions, each.region, parts), direction) for each in solved.stress
    ]
    return [patches[number] for number in sorted(np.argsort(times, kind="stable")[:CASES].tolist())]


def _case(
    solved: SolvedHold, number: int, parts: Mapping[str, PrintedPart], direction: Floats, error: float
) -> CaseStrength:
    """Judge one load, at both ends of the tables."""
    stress, patch = solved.stress[number], solved.patches[number]
    force = float(np.linalg.norm(patch.force))
    borne = {
        level: borne_by(solved.regions, stress.region, parts, level) for level in ("low", "likely", "high")
    }
    times = {level: stress.breaks_at(each, direction) for level, each in borne.items()}
    used, parted = stress.used(times["likely"], borne["likely"], direction)
    hot = np.bincount(stress.region[used.hottest], stress.volumes[used.hottest], len(solved.regions))
    wrong = 1.0 + error + LAW_ERROR
    return CaseStrength(
        direction=point(patch.direction),
        loaded_at=point(patch.middle),
        force=force,
        index=stress.used(1.0, borne["likely"], direction)[0].value,
        stress=solved.von_mises(number),
        breaks_at=Range(force * times["low"] / wrong, force * times["likely"], force * times["high"] * wrong),
        place=point(used.place),
        region=_named(solved.regions[int(hot.argmax())], parts),
        between_layers=parted,
        deflection=solved.deflections[number],
    )


def _named(region: str, parts: Mapping[str, PrintedPart]) -> str:
    """Call a region as people do: what is solid has no skin."""
    part = region.rsplit(" ", 1)[0]
    return part if parts[part].is_solid else region


def _second(
    loaded: LoadedHold, parts: Mapping[str, PrintedPart], patch: PatchLoad, direction: Floats
) -> tuple[BeamSection, float] | tuple[None, None]:
    """Give the weakest section of a slender projection, and the load that breaks it; None for both."""
    name = next(each for each in parts if each != CORE)
    part = parts[name]
    along, across = part.strength.along[1], part.strength.across[1]
    nearest = min(loaded.bolts, key=lambda bolt: float(np.linalg.norm(bolt.seat - patch.middle)))
    section = weakest_section(
        loaded.whole, part, patch.force, patch.middle, nearest.seat, along, loaded.parts.get(CORE)
    )
    if section is None:
        return None, None
    squarely = float(np.dot(section.normal, direction)) ** 2
    bears = min(along, across / max(squarely, 1e-9))
    return section, float(np.linalg.norm(patch.force)) / section.used(part, bears)


def _assumptions(
    loaded: LoadedHold, parts: Mapping[str, PrintedPart], requested: PrintParameters, solved: SolvedHold
) -> tuple[str, ...]:
    """Say what all of it stands on."""
    pull = " and ".join(f"{bolt.pull:.0f} N" for bolt in loaded.bolts)
    moduli = ", ".join(f"{name} {each.modulus.likely:.0f} MPa" for name, each in parts.items())
    filled = [
        f"infill of the {name} {each.infill_modulus.likely:.0%} of that and "
        f"{each.infill_strength.likely:.0%} of its strength"
        for name, each in parts.items()
        if not each.is_solid
    ]
    direction = DIRECTION_NAMES[requested.print_direction]
    crumbs = f"Left out: crumbs that hang together with nothing else, {in_percent(solved.loose)} of it."
    fine = cell_size(loaded, "fine")
    coarser = (
        f"Cells are larger than usual for its size (fine ones are {size_alone(loaded):.3g} mm): so much "
        "surface would take too much memory."
    )
    return (
        f"Loads: the worst {len(solved.patches)} of those that the joint is judged for, each spread over "
        f"{PATCH:g} mm; what it and the washers press on is left out.",
        f"Bolts pull with {pull}; the wall gives {loaded.wall:.0f} MPa a mm and only presses.",
        f"Modulus: {'; '.join((moduli, *filled))}. Poisson's ratio 0.36.",
        f"Printed {direction}: layers part across that. Skin is alike all round.",
        f"{solved.cells} cells of {solved.grid.cell:.3g} mm; 200 mm3 over their strength count as broken.",
        *([coarser] if solved.grid.cell >= fine > size_alone(loaded) else []),
        *([crumbs] if solved.loose > 0.0 else []),
    )
