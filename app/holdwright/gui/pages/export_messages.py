"""The sentences of the export page."""

from holdwright.export.job import Exported
from holdwright.export.parts import shrinkage_factor
from holdwright.gui.document.document import Document
from holdwright.gui.document.missing_input import missing_input
from holdwright.printable import printable


def unit_sentence(shrinkage: float) -> str:
    """Say in which unit the files are, and what they are larger by for `shrinkage` percent."""
    if not shrinkage:
        return "In millimetres."
    factor = f"{shrinkage_factor(shrinkage):.5f}"
    return f"In millimetres, larger by a factor of {factor} for {shrinkage:g} % shrinkage."


def findings_sentence(document: Document) -> str:
    """Say what to check before the files are used; blank for nothing."""
    missing = next(filter(None, (missing_input(step) for step in document.recipe.steps)), "")
    if missing:
        return f"The recipe is not complete. {missing}"
    if document.failure:
        return f"The recipe fails: {document.failure}"
    severities = [finding.severity for _, finding in document.findings]
    counts = [
        f"{count} {word if count == 1 else word + 's'}"
        for word in ("error", "warning")
        if (count := severities.count(word))
    ]
    if not counts:
        return ""
    return f"{' and '.join(counts)}. The files can be written; check them before you print."


def older_sentence(written: Exported | None) -> str:
    """Name files from an earlier export, and what was left alone in the folder; blank for none."""
    if written is None:
        return ""
    sentences = []
    for paths, ending in (
        (written.older, "of an earlier export and may be of another shape."),
        (written.left_alone, "not known to be ours and left alone."),
    ):
        if paths:
            names = ", ".join(printable(path.name) for path in paths)
            sentences.append(f"{names} {'is' if len(paths) == 1 else 'are'} {ending}")
    return " ".join(sentences)


def files_count(count: int) -> str:
    """Write a number of files."""
    return f"{count} file" if count == 1 else f"{count} files"
