"""What to write and where: parts, formats and folder, remembered between sessions; and sentences on it."""

import os
from collections.abc import Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Final

import numpy as np
from PySide6.QtCore import QSettings, QStandardPaths

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import HoldwrightError
from holdwright.export.file_names import file_names, names_being_read, names_for, report_name
from holdwright.export.formats import DEFAULT_FORMATS, FORMATS, chosen_formats
from holdwright.export.job import Exported
from holdwright.export.options import USUAL, WIDEST_BRIM, ExportOptions
from holdwright.export.parts import BRIM, TAB_NAMES
from holdwright.gui.document.document import Document
from holdwright.gui.document.step_texts import missing_input, title_of, without_step
from holdwright.gui.widgets.number_format import severity_counts
from holdwright.hold.feature import Rim
from holdwright.hold.hold import CORE, SHELL, WHOLE
from holdwright.joint.cautions import CAUTIONS, cautions_for
from holdwright.operations.split_core import SplitCore
from holdwright.pipeline.views.display_results import ShownStep
from holdwright.printable import printable
from holdwright.printing.allowances import allowances_of
from holdwright.resources import sample_folder
from holdwright.sheet.choice import SheetChoice

FORMAT_WORDS: Final = {
    "stl": ("STL", "a file for each part"),
    "3mf": ("3MF", "all parts in one file"),
    "obj": ("OBJ", "a file for each part"),
    "ply": ("PLY", "a file for each part"),
}
"""What each format is called, and how it holds the parts."""

FINISHED: Final = "finished"
"""The folder offered, beside the sculpt: also that of the first start without a display."""

_FOLDER, _FORMATS, _OPTION = "export_folder", "export_formats", "export_option_"


@dataclass(frozen=True)
class Choice:
    """What was chosen."""

    name: str
    """Of the hold, by its sculpt's file."""
    parts: tuple[str, ...]
    formats: tuple[str, ...]
    """parts and formats: names of solids and of formats."""
    folder: str
    """As typed."""
    read: tuple[Path, ...] = ()
    """Files that are open, sculpt and recipe: they are not written over."""
    options: ExportOptions = USUAL
    """How the parts lie in the files, and whose they are."""

    @property
    def names(self) -> tuple[str, ...]:
        """Names of all files that will be written, the report last; none while nothing is chosen.

        How many corner tabs there will be is not known before they are made.
        """
        if not self.parts or not self.formats:
            return ()
        sheet = self.options.sheet
        sheets = [sheet.name(self.name)] if sheet else []
        parts = (*self.parts, *([BRIM] if self.options.brim else []))
        return (*self._meshes(parts), *sheets, report_name(self.name))

    @property
    def path(self) -> Path:
        """The folder, from home where it is not given in full."""
        return Path.home() / Path(self.folder.strip()).expanduser()

    @property
    def existing(self) -> tuple[str, ...]:
        """Names of files that writing would replace."""
        tabs = self._meshes(TAB_NAMES) if self.options.tabs and self.names else ()
        names = dict.fromkeys((*self.names, *tabs))
        return tuple(name for name in names if (self.path / name).is_file())

    def _meshes(self, parts: Sequence[str]) -> tuple[str, ...]:
        kinds = chosen_formats(self.formats)
        return tuple(each for kind in kinds for each in file_names(self.name, parts, kind))

    @property
    def missing(self) -> str:
        """What still has to be chosen, in words; blank for nothing."""
        if not self.name:
            return "There is nothing to write yet: open a sculpt."
        if not self.parts:
            return "Choose a part."
        if not self.formats:
            return "Choose a format."
        if not self.folder.strip():
            return "Choose a folder."
        open_now = names_being_read(self.path, self.names, self.read)
        if open_now:
            what = "the sculpt itself" if self.path / open_now[0] in self.read[:1] else "open now"
            return f"{open_now[0]} there is {what}: choose another folder, or leave that format out."
        return ""


def hold_name(document: Document) -> str:
    """Give what the files are called by, as the command line calls them; blank without a sculpt."""
    sculpt = document.sculpt_path
    return names_for([sculpt])[0] if sculpt else ""


def parts_of(document: Document) -> tuple[str, ...]:
    """Give the names of the finished hold's solids: as they are, else as the recipe will give them."""
    last = _last(document)
    if last is not None and last.solids and document.is_current(last.id):
        return tuple(last.solids)
    split = any(step.enabled and step.operation == SplitCore.name for step in document.recipe.steps)
    return (SHELL, CORE) if split else (WHOLE,)


def allowances_sentence(document: Document) -> str:
    """Say in which unit the files are, and what sets them apart from true size."""
    last = _last(document)
    if last is None or last.measures is None:
        return "In millimetres."
    bounds = dict.fromkeys(parts_of(document), np.array(last.measures.bounds_mm))
    try:
        allowed = allowances_of(last.features, bounds, document.recipe.print, load_catalogue()).in_words
    except HoldwrightError as error:
        return str(error)
    return f"In millimetres, with {', '.join(allowed)}." if allowed else "In millimetres."


def _last(document: Document) -> ShownStep | None:
    steps = document.recipe.steps
    return document.step(steps[-1].id) if steps else None


class ExportSettings:
    """Folder, formats and options as chosen last."""

    def __init__(self, settings: QSettings) -> None:
        self._settings = settings

    @property
    def formats(self) -> tuple[str, ...]:
        """Formats chosen last, else STL and 3MF."""
        stored = self._settings.value(_FORMATS, list(DEFAULT_FORMATS))
        texts = [stored] if isinstance(stored, str) else list(stored) if isinstance(stored, list) else []
        return tuple(name for name in FORMATS if name in texts) or DEFAULT_FORMATS

    def folder(self, sculpt: Path | None) -> str:
        """Give the folder chosen last, where it was another than the usual one."""
        stored = self._settings.value(_FOLDER, "")
        return stored if isinstance(stored, str) and stored else _usual_folder(sculpt)

    @property
    def options(self) -> ExportOptions:
        """Options chosen last, else the usual ones."""
        stored = {each.name: self._settings.value(_OPTION + each.name) for each in fields(ExportOptions)}
        return ExportOptions(
            "wall" if stored["pose"] == "wall" else "print",
            str(stored["tabs"]).lower() == "true",
            str(stored["designer"] or ""),
            str(stored["licence"] or ""),
            SheetChoice.stored(stored["sheet"]),
            _stored_brim(stored["brim"]),
            strength=str(stored["strength"]).lower() != "false",
        )

    def keep(self, choice: Choice, sculpt: Path | None) -> None:
        """Remember a choice; the usual folder is that of each sculpt, and no path is kept."""
        folder = choice.folder
        self._settings.setValue(_FOLDER, "" if folder == _usual_folder(sculpt) else folder)
        self._settings.setValue(_FORMATS, list(choice.formats))
        for each in fields(choice.options):
            value = getattr(choice.options, each.name)
            stored = value if isinstance(value, bool) else str(value or "")
            self._settings.setValue(_OPTION + each.name, stored)


def _stored_brim(stored: object) -> float:
    """Read the width of a brim, none where what is stored is none."""
    try:
        width = float(str(stored))
    except ValueError:
        return 0.0
    return width if 0.0 <= width <= WIDEST_BRIM else 0.0


def _usual_folder(sculpt: Path | None) -> str:
    """Give the folder beside a sculpt, or in the user's documents where that may not be written to."""
    parent = None if sculpt is None or sculpt.parent == sample_folder() else sculpt.parent
    # A name that is no UTF-8 would not come back from the line it is written in.
    if parent is None or printable(parent) != str(parent) or not os.access(parent, os.W_OK):
        place = QStandardPaths.StandardLocation.DocumentsLocation
        parent = Path(QStandardPaths.writableLocation(place) or Path.home())
    return str(parent / FINISHED)


def unfinished_step(document: Document) -> tuple[str, str]:
    """Give the id of the step without which no file can be written, and why; blanks where there is none."""
    for step in document.recipe.steps:
        if missing := missing_input(step):
            return step.id, f"The recipe is not complete. {missing}"
        if step.id == document.failed_step and (shown := document.step(step.id)):
            return step.id, f"{title_of(step.operation)} failed: {without_step(shown.failed)}"
    return "", ""


def findings_sentence(document: Document, *, written: bool = False) -> str:
    """Say what to check before the files are used, by results before a change where newer are not there."""
    unfinished = unfinished_step(document)[1]
    if unfinished or document.failure:
        return unfinished or f"The recipe fails: {document.failure}"
    shown = [document.step(step.id) for step in document.recipe.steps if step.enabled]
    of_steps = [finding for each in shown if each for finding in each.findings]
    of_hold = *document.print_findings, *document.strength_findings
    counts = severity_counts(each.severity for each in (*of_steps, *of_hold))
    unchecked = "" if document.print_current else "The print is not checked as it is now. "
    if not counts:
        return unchecked.rstrip()
    check = "Check" if written else "The files can be written; check"
    them = "it" if counts in (["1 error"], ["1 warning"]) else "them"
    return f"{unchecked}{' and '.join(counts)}. {check} {them} before you print."


def further_cautions(document: Document) -> str:
    """Give the cautions that this hold needs besides the usual ones; blank for none."""
    shown = [each for step in document.recipe.steps if step.enabled and (each := document.step(step.id))]
    codes = [finding.code for each in shown for finding in each.findings]
    rims = [rim for each in shown for rim in each.features if isinstance(rim, Rim)]
    cautions = cautions_for(codes, sanded=bool(rims) and rims[-1].allowance > 0.0)
    return " ".join(cautions[len(CAUTIONS) :])


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
    if written.note:
        sentences.append(written.note[0].upper() + written.note[1:])
    return " ".join(sentences)
