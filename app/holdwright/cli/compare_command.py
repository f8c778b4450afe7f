"""``holdwright compare``: what a revised sculpt changes of the finished hold."""

import argparse
from datetime import date
from pathlib import Path
from typing import Final

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.cli.child_supervisor import CommandResult, CommandWork
from holdwright.cli.replaying import changed_recipe, requested_recipe
from holdwright.cli.text_format import count, json_of, strict_code, wrapped
from holdwright.errors import ExportError, ParameterError
from holdwright.joint.cautions import CAUTIONS
from holdwright.pipeline.atomic_write import write_whole
from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe
from holdwright.pipeline.views.comparison import Found
from holdwright.pipeline.views.revision_compare import (
    RevisionCompared,
    compare_sculpts,
    lying_words,
    plain_comparison,
)
from holdwright.printable import printable
from holdwright.progress import Progress

ENDINGS: Final = (".pdf", ".html")


def prepare(arguments: argparse.Namespace) -> CommandWork:
    """Prepare to compare the holds of two sculpts, or of two recipes."""
    recipe, path = requested_recipe(arguments)
    after, names = recipe, printable(path.stem)
    if arguments.recipe_after is not None:
        other = find_recipe(arguments.recipe_after)
        after = changed_recipe(load_recipe(other), arguments)
        names += f" and {printable(other.stem)}"
    _check_sheet(arguments.sheet)
    catalogue = load_catalogue()

    def work(_: int, progress: Progress) -> CommandResult:
        found = compare_sculpts((recipe, after), arguments.old, arguments.sculpt, catalogue, progress)
        code = strict_code(arguments, [finding for _, finding in found.new.findings])
        heading = f"{printable(arguments.old.stem)} to {printable(arguments.sculpt.stem)}"
        if arguments.sheet is not None:
            _write_sheet(arguments.sheet, found, heading, names)
        if arguments.json:
            content = {"old": arguments.old.name, **plain_comparison(found), "cautions": list(CAUTIONS)}
            return CommandResult(json_of(arguments, None, content), code)
        return CommandResult("\n".join(_lines(heading, found)), code)

    return work


def _check_sheet(path: Path | None) -> None:
    """Refuse a file the page cannot be written to, before anything is computed."""
    if path is None:
        return
    if path.suffix.lower() not in ENDINGS:
        raise ParameterError(
            f"The page of the comparison is to be written to {printable(path.name)}, but that does not say "
            "as what; let the name end in .pdf or .html."
        )
    if not path.absolute().parent.is_dir():
        raise ExportError(
            f"The page of the comparison is to go into {printable(str(path.parent))}, but there is no such "
            "folder; make it first."
        )


def _write_sheet(path: Path, found: RevisionCompared, heading: str, recipes: str) -> None:
    # What draws it takes long to load.
    from holdwright.sheet.comparison_content import comparison_content
    from holdwright.sheet.comparison_sheet import comparison_html, comparison_pdf

    content = comparison_content(found, heading, recipes, date.today())
    made = comparison_html(content) if path.suffix.lower() == ".html" else comparison_pdf(content)
    try:
        write_whole(path, made)
    except OSError as error:
        raise ExportError(f"The page cannot be written to {path}: {error.strerror or error}.") from None


def _lines(heading: str, found: RevisionCompared) -> list[str]:
    distance = found.distance
    rows = [("", "old", "new", "change"), *((each.name, *each.written) for each in found.comparison.figures)]
    widths = [max(len(row[column]) for row in rows) for column in range(4)]
    lines = [f"{heading}: {found.comparison.sentence}", *wrapped(f"  {lying_words(found.lying)}"), ""]
    lines += [
        "  " + "  ".join([row[0].ljust(widths[0]), *(f"{row[n]:>{widths[n]}}" for n in (1, 2, 3))])
        for row in rows
    ]
    lines += [
        "",
        f"  surface   {distance.mean:.2f} mm off on the mean, 95 % of it within {distance.p95:.2f} mm",
        f"            {distance.gained:.2f} mm more at most, {distance.lost:.2f} mm less at most",
        "",
        *_found_lines("gained", found.comparison.gained),
        *_found_lines("lost", found.comparison.lost),
    ]
    return [*lines, "", *wrapped(*CAUTIONS)]


def _found_lines(verb: str, found: tuple[Found, ...]) -> list[str]:
    lines = [f"  {count(len(found), 'finding')} {verb}"]
    for step, finding in found:
        lines.append(f"    {finding.severity}, {step}: {finding.message} [{finding.code}]")
    return lines
