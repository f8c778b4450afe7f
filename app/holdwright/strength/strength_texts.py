"""What is written of a hold's strength, wherever it is shown."""

from collections.abc import Iterator, Sequence
from math import isnan

from holdwright.hold.finding_builder import in_percent
from holdwright.ranges import two_digits
from holdwright.strength.breaking_findings import way_of
from holdwright.strength.strength_result import LIMITS, CaseStrength, Change, ChangeKind, StrengthResult

HEADINGS: dict[ChangeKind, str] = {
    "infill": "Infill of the shell",
    "skin": "Passes along outlines",
    "material": "Material",
    "print direction": "Printed",
    "bolt": "Bolt at",
}
"""Over the changes of each kind."""


def headline(result: StrengthResult) -> str:
    """Say at what load a hold breaks first."""
    worst = result.worst
    likely = two_digits(worst.told.likely)
    if worst.limp:
        return f"Fails near {likely} N"
    return f"Breaks first near {likely} N ({two_digits(worst.told.low)} to {two_digits(worst.told.high)} N)"


def where_sentence(case: CaseStrength) -> str:
    """Say under which load, and where and how it breaks."""
    x, y, z = map(round, case.place)  # to whole numbers, of which none is "-0"
    how = "layers come apart" if case.between_layers else "it tears"
    return (
        f"Pulled {way_of(case.direction)} with {case.force:.0f} N it uses {in_percent(case.index)} of its "
        f"strength, most in the {case.region} at ({x}, {y}, {z}) mm, where {how}; it bends by "
        f"{case.deflection:.2g} mm."
    )


def second_sentence(result: StrengthResult) -> str:
    """Give the second opinion, where there is one; blank where not."""
    if result.second_load is None:
        return ""
    return (
        f"Taken for a beam, its weakest section there breaks near {two_digits(result.second_load)} N (a "
        f"second opinion on slender projections, within -7 to +32 % of the cells)."
    )


def strength_rows(result: StrengthResult) -> Iterator[tuple[str, str]]:
    """Give title and text of each thing that a work sheet says of it."""
    yield headline(result), where_sentence(result.worst)
    if result.changes:
        told = [
            f"{title.lower()} "
            + ", ".join(f"{each.name} {ratio_text(each.load)}" for each in found if not each.today)
            for title, found in change_groups(result.changes)
        ]
        yield "Load by today's if changed", "; ".join(told) + "."
    yield "Limits", LIMITS


def refused_sentences(changes: Sequence[Change]) -> list[str]:
    """Say why changes could not be computed, each once."""
    return list(dict.fromkeys(each.refused for each in changes if each.refused))


def change_groups(changes: Sequence[Change]) -> Iterator[tuple[str, tuple[Change, ...]]]:
    """Give the changes of each kind under its heading."""
    for kind, title in HEADINGS.items():
        found = tuple(each for each in changes if each.kind == kind)
        if found:
            yield title, found


def ratio_text(ratio: float) -> str:
    """Write a ratio to what is today."""
    return "-" if isnan(ratio) else f"x {ratio:.2f}"
