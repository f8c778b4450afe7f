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


def standing_sentence(document: Document) -> str:
    """Say what deserves a look before the files are used; blank for nothing."""
    waits = next(filter(None, (missing_input(step) for step in document.recipe.steps)), "")
    if waits:
        return f"The recipe does not get through yet. {waits}"
    if document.failure:
        return f"The recipe does not get through: {document.failure}"
    met = [finding.severity for _, finding in document.findings]
    counts = [
        f"{count} {word if count == 1 else word + 's'}"
        for word in ("error", "warning")
        if (count := met.count(word))
    ]
    if not counts:
        return ""
    one = sum(met.count(word) for word in ("error", "warning")) == 1
    verb, them = ("stands", "It does") if one else ("stand", "They do")
    return f"{' and '.join(counts)} {verb}. {them} not stop the writing; look before anything is printed."


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
