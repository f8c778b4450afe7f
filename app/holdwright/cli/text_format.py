"""How figures and findings read on a terminal."""

import argparse
import json
import textwrap
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from holdwright.hold.finding_rank import GRAVEST, rank

if TYPE_CHECKING:
    from holdwright.export.report import FindingSection
    from holdwright.hold.finding import Finding

    Findings = Sequence[Finding | FindingSection]

STRICT: Final = 5
"""Exit code of findings that are errors, under ``--strict``."""


def count(number: int, noun: str) -> str:
    """Write a number with its noun."""
    return f"{number} {noun}{'' if number == 1 else 's'}"


def findings_heading(findings: "Findings") -> str:
    """Say how many findings there are of each severity."""
    numbers = [
        count(sum(finding.severity == severity for finding in findings), severity)
        for severity in GRAVEST
        if any(finding.severity == severity for finding in findings)
    ]
    return ", ".join(numbers) or "none"


def finding_lines(findings: "Findings") -> list[str]:
    """Write findings, the one to look at first on top, one line each and one more for the advice."""
    from holdwright.hold.finding_builder import folded  # not needed for `--help`

    lines = []
    for sentence, finding in folded(sorted(findings, key=rank)):
        lines.append(f"{finding.severity}: {sentence} [{finding.code}]")
        if finding.advice:
            lines.append(f"    {finding.advice}")
    return lines


def wrapped(*sentences: str, width: int = 100) -> list[str]:
    """Break each sentence into lines."""
    return [line for sentence in sentences for line in textwrap.wrap(sentence, width)]


def json_text(content: Mapping[str, object]) -> str:
    """Write JSON as its standard knows it (RFC 8259).

    A figure that is not finite becomes null, and a byte of a file's name that is no letter a question mark.
    """
    text = json.dumps(content, ensure_ascii=False).encode("utf-8", "replace")
    return json.dumps(json.loads(text, parse_constant=lambda _: None), indent=2)


def json_of(arguments: argparse.Namespace, refused: str | None, content: Mapping[str, object]) -> str:
    """Write the JSON of a replay: sculpt and recipe by name, why it was refused, and the content."""
    names = {"sculpt": arguments.sculpt.name, "recipe": Path(arguments.recipe).stem, "refused": refused}
    return json_text({**names, **content})


def strict_code(arguments: argparse.Namespace, findings: "Findings") -> int:
    """Give the exit code: `STRICT` where ``--strict`` is set and a finding is an error."""
    return STRICT * (arguments.strict and any(finding.severity == "error" for finding in findings))
