"""What to write and where: parts, formats and folder, remembered between sessions."""

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from PySide6.QtCore import QSettings, QStandardPaths

from holdwright.export.file_names import file_names, names_being_read, names_for, report_name
from holdwright.export.formats import DEFAULT_FORMATS, FORMATS, chosen_formats
from holdwright.gui.document.document import Document
from holdwright.hold.feature import Envelope
from holdwright.hold.hold import CORE, SHELL, WHOLE
from holdwright.operations.split_core import SplitCore
from holdwright.printable import printable
from holdwright.resources import sample_folder

FORMAT_WORDS: Final = {
    "stl": ("STL", "a file for each part"),
    "3mf": ("3MF", "all parts in one file"),
    "obj": ("OBJ", "a file for each part"),
    "ply": ("PLY", "a file for each part"),
}
"""What each format is called, and how it holds the parts."""

_FOLDER, _FORMATS = "export_folder", "export_formats"


@dataclass(frozen=True)
class Choice:
    """What was chosen.

    Attributes
    ----------
    name
        Of the hold, by its sculpt's file.
    parts, formats
        Names of solids and of formats.
    folder
        As typed.
    read
        Files that are open, sculpt and recipe: they are not written over.
    """

    name: str
    parts: tuple[str, ...]
    formats: tuple[str, ...]
    folder: str
    read: tuple[Path, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Names of all files that will be written, the report last; none while nothing is chosen."""
        if not self.parts or not self.formats:
            return ()
        kinds = chosen_formats(self.formats)
        meshes = [each for kind in kinds for each in file_names(self.name, self.parts, kind)]
        return (*meshes, report_name(self.name))

    @property
    def path(self) -> Path:
        """The folder, from home where it is not given in full."""
        return Path.home() / Path(self.folder.strip()).expanduser()

    @property
    def existing(self) -> tuple[str, ...]:
        """Names of files that writing would replace."""
        return tuple(name for name in self.names if (self.path / name).is_file())

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
    steps = document.recipe.steps
    last = document.step(steps[-1].id) if steps else None
    if last is not None and last.solids and document.is_current(last.id):
        return tuple(last.solids)
    split = any(step.enabled and step.operation == SplitCore.name for step in steps)
    return (SHELL, CORE) if split else (WHOLE,)


def shrinkage_of(document: Document) -> float:
    """Give the shrinkage allowance of the finished hold, percent."""
    steps = document.recipe.steps
    last = document.step(steps[-1].id) if steps else None
    features = last.features if last else ()
    return max((each.shrinkage_percent for each in features if isinstance(each, Envelope)), default=0.0)


class ExportSettings:
    """Folder and formats as chosen last."""

    def __init__(self, settings: QSettings) -> None:
        self._settings = settings

    @property
    def formats(self) -> tuple[str, ...]:
        """Formats chosen last, else STL and 3MF."""
        kept = self._settings.value(_FORMATS, list(DEFAULT_FORMATS))
        texts = [kept] if isinstance(kept, str) else list(kept) if isinstance(kept, list) else []
        return tuple(name for name in FORMATS if name in texts) or DEFAULT_FORMATS

    def folder(self, sculpt: Path | None) -> str:
        """Give the folder chosen last; before any, the sculpt's own where it may be written to."""
        kept = self._settings.value(_FOLDER, "")
        if isinstance(kept, str) and kept:
            return kept
        parent = None if sculpt is None or sculpt.parent == sample_folder() else sculpt.parent
        # A name that is no UTF-8 would not come back from the line it is written in.
        if parent is not None and printable(parent) == str(parent) and os.access(parent, os.W_OK):
            return str(parent)
        documents = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.DocumentsLocation)
        return str(Path(documents or Path.home()) / "holds")

    def keep(self, folder: str, formats: Sequence[str]) -> None:
        """Remember a choice."""
        self._settings.setValue(_FOLDER, folder)
        self._settings.setValue(_FORMATS, list(formats))
