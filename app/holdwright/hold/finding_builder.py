"""The table of findings, `resources/findings`: each code's sentence, severity, unit, limit and advice.

A code with several sentences has a row for each, named "code:variant".
"""

import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from holdwright.geometry.arrays import Floats
from holdwright.hold.finding import Finding, Severity, point
from holdwright.hold.finding_rank import Worded
from holdwright.resources import resource_folder


@dataclass(frozen=True)
class FindingRow:
    """What the table declares of a code."""

    text: str
    """The sentence; figures stand in it in braces, with `measured` and `limit` among them."""
    severity: Severity
    """Unless the call gives another."""
    unit: str = ""
    limit: float | None = None
    note_below: float = 0.0
    """A note where measured is below this."""
    error_share: float = 0.0
    """An error where measured is below this share of the limit."""
    advice: str = ""
    """unit, limit, advice: as of `Finding`; a limit that depends on the recipe is given by the call."""
    source: str = ""
    """Where the limit comes from."""
    several: str = ""
    """The sentence for several such findings: {count} of them, {least} and {most} measured, limit, unit."""


@cache
def finding_table() -> dict[str, FindingRow]:
    """Read the rows by code and variant."""
    files = sorted((resource_folder() / "findings").glob("*.toml"))
    tables = [tomllib.loads(file.read_text(encoding="utf-8")) for file in files]
    rows = {code: FindingRow(**row) for table in tables for code, row in table.items()}
    assert len(rows) == sum(map(len, tables)), "A code is declared in two files."
    return rows


def limit_of(code: str) -> float:
    """Give the limit that the table declares for a code, in the finding's unit."""
    limit = finding_table()[code].limit
    assert limit is not None, code
    return limit


def new_finding(
    code: str,
    measured: float | None = None,
    limit: float | None = None,
    where: Iterable[float] | None = None,
    *,
    severity: Severity | None = None,
    advice: str | None = None,
    **figures: object,
) -> Finding:
    """Make a finding as the table declares it.

    Parameters
    ----------
    code
        Name of the row: the code, with ":variant" where it has several.
    measured, limit
        In the row's unit; the row's own limit unless another is given.
    where
        Place on the hold, mm.
    severity, advice
        In place of the row's.
    figures
        What the row's sentence and advice name in braces, `measured` and `limit` apart.
    """
    row = finding_table()[code]
    limit = row.limit if limit is None else limit
    least = None if limit is None or not row.error_share else row.error_share * limit
    grave = measured is not None and least is not None and measured < least
    slight = measured is not None and measured < row.note_below
    words = {"measured": measured, "limit": limit, **figures}
    return Finding(
        code=code.partition(":")[0],
        severity=severity or ("error" if grave else "note" if slight else row.severity),
        message=row.text.format(**words),
        measured=measured,
        limit=limit,
        unit=row.unit,
        where=None if where is None else point(where),
        advice=(row.advice if advice is None else advice).format(**words),
    )


def sentence_of(alike: Sequence[Worded]) -> str:
    """Give one sentence for findings of one code; where the table has none for several, the first's."""
    first, row = alike[0], finding_table().get(alike[0].code)
    if len(alike) == 1 or row is None or not row.several:
        return f"{first.message} {len(alike) - 1} more like it." if len(alike) > 1 else first.message
    measured = [each.measured or 0.0 for each in alike]
    # Before the hold has its size, lengths are shares of it.
    unit = "% of the extent" if (first.unit, row.unit) == ("%", "mm") else first.unit
    figures = {"least": min(measured), "most": max(measured), "limit": first.limit, "unit": unit}
    return row.several.format(count=len(alike), **figures)


def folded(findings: Iterable[Worded]) -> list[tuple[str, Worded]]:
    """Give each finding after its sentence; like ones as one, where the table has a sentence for several."""
    groups: dict[tuple[str, object], list[Worded]] = {}
    for number, finding in enumerate(findings):
        row = finding_table().get(finding.code)
        groups.setdefault(
            (finding.code, finding.severity if row is not None and row.several else number), []
        ).append(finding)
    return [(sentence_of(alike), alike[0]) for alike in groups.values()]


def counted(number: int, one: str, several: str = "") -> str:
    """Put a number before its noun: "1 piece", "3 pieces"."""
    return f"{number} {one if number == 1 else several or one + 's'}"


def in_cm2(area: float) -> str:
    """Give an area in mm2 as text, in square centimetres."""
    return f"{area / 100:.0f} cm2" if area >= 1000 else f"{area / 100:.2g} cm2"


def in_cm3(volume: float) -> str:
    """Give a volume in mm3 as text that can be imagined, in cubic centimetres or mm."""
    if volume < 100.0:
        return f"{volume:.2g} mm3"
    return f"{volume / 1000:.0f} cm3" if volume >= 10_000.0 else f"{volume / 1000:.2g} cm3"


def in_percent(share: float) -> str:
    """Give a share of 1 as text."""
    if share < 1e-4:
        return "under 0.01 %"
    return f"{100 * share:.0f} %" if share >= 0.1 else f"{100 * share:.2g} %"


def contact_findings(joined: Floats, left: Floats) -> list[Finding]:
    """Report (k, 2, 3) edges along which a hold touched itself and was joined, and those that are left."""
    return [
        new_finding(code, float(len(edges)), where=edges[0].mean(axis=0))
        for code, edges in (("touch_joined", joined), ("touches_itself", left))
        if len(edges)
    ]
