"""The questions of the window. Each says what happens either way, with a verb on each button."""

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFileDialog, QWidget

from holdwright.gui.document.drops import RECIPE_ENDINGS, SCULPT_ENDINGS
from holdwright.gui.widgets.question import Question
from holdwright.printable import printable


def ask(parent: QWidget, sentence: str, detail: str, answers: Sequence[str], safe: int = -1) -> int:
    """Ask a question and give the number of the answer.

    Parameters
    ----------
    sentence, detail
        What is asked, and what follows from it.
    answers
        Verbs for the buttons; the first has the keyboard.
    safe
        Number of the answer that Escape gives; -1: the last.
    """
    sentence, detail = printable(sentence), printable(detail)
    question = Question(parent, sentence, detail, [printable(each) for each in answers], safe % len(answers))
    question.exec()
    question.deleteLater()
    return question.answer


def unsaved(parent: QWidget, name: str) -> int:
    """Ask what to do with unsaved changes: 0 save, 1 discard them, 2 cancel."""
    detail = "If you do not save, the changes since the last save are lost."
    return ask(parent, f"Save the changes to {name}?", detail, ("Save", "Discard changes", "Cancel"))


def sculpt_dropped(parent: QWidget, path: Path) -> int:
    """Ask what a dropped sculpt is for: 0 replace the present one, 1 start anew, 2 neither."""
    detail = "The same steps run on the new sculpt. Or start a new recipe for it."
    answers = ("Replace the sculpt", "New recipe", "Cancel")
    return ask(parent, f"Replay this recipe on {path.name}?", detail, answers)


def which_of(parent: QWidget, paths: Sequence[Path]) -> Path | None:
    """Ask which of several dropped files to open."""
    shown = list(paths)[:6]
    detail = "" if len(paths) <= len(shown) else f"The first {len(shown)} of {len(paths)} are listed."
    number = ask(parent, "Open which file?", detail, [*(path.name for path in shown), "Cancel"])
    return shown[number] if number < len(shown) else None


def recover(parent: QWidget, name: str) -> int:
    """Ask what to do with changes that were stored: 0 go on with them, 1 discard them, 2 ask later."""
    detail = "Holdwright closed without saving them. Discarded changes cannot be recovered."
    return ask(parent, f"Recover unsaved changes to {name}?", detail, ("Recover", "Discard", "Decide later"))


def leave_while_writing(parent: QWidget, verb: str) -> bool:
    """Ask whether to leave the document ("Close", "Open") although files of it are still being written."""
    sentence = f"Files are still being written. {verb} anyway?"
    return (
        ask(parent, sentence, "No file is written, and the folder stays unchanged.", ("Cancel", verb), 0) == 1
    )


def leave_running_set(parent: QWidget, name: str) -> bool:
    """Ask whether to close the window although a set is still being finished."""
    detail = "Holds that are finished stay. The others are made when the set is finished again."
    return ask(parent, f"{name} is still being finished. Close anyway?", detail, ("Cancel", "Close"), 0) == 1


def changed_on_disk(parent: QWidget, name: str) -> bool:
    """Ask whether to write over a recipe that something else has changed since it was opened."""
    sentence = f"{name} was changed by another program since you opened it. Overwrite it?"
    return ask(parent, sentence, "Overwriting loses those changes.", ("Overwrite", "Cancel")) == 0


def sculpt_revised(parent: QWidget, name: str) -> bool:
    """Ask about a sculpt changed since its recipe was saved: whether to find the one it was made for."""
    sentence = f"{name} has changed since this recipe was saved. Use the changed sculpt?"
    detail = (
        "The steps are done again on it; places picked by hand may have moved. Or find the sculpt that the "
        "recipe was made for."
    )
    return ask(parent, sentence, detail, ("Use it", "Find the original..."), 0) == 1


def which_sculpt(parent: QWidget, folder: Path) -> Path | None:
    """Ask for a sculpt; None when the user thinks better of it."""
    return _file_in(parent, folder, "Find the sculpt", "Sculpts", SCULPT_ENDINGS)


def what_to_open(parent: QWidget, folder: Path) -> Path | None:
    """Ask for a sculpt, a recipe, a set or a wall to open; None when the user thinks better of it."""
    endings = (*SCULPT_ENDINGS, *RECIPE_ENDINGS)
    title = "Open a sculpt, a recipe, a set or a wall"
    return _file_in(parent, folder, title, "Sculpts, recipes, sets and walls", endings)


def where_to_save(parent: QWidget, suggestion: Path, what: str = "recipe") -> Path | None:
    """Ask where to save the recipe or picture; None when the user thinks better of it."""
    ending = suggestion.suffix
    kinds = f"{what.capitalize()}s (*{ending})"
    chosen, _ = QFileDialog.getSaveFileName(parent, f"Save the {what}", str(suggestion), kinds)
    path = Path(chosen)
    return None if not chosen else path if path.suffix else path.with_suffix(ending)


def _file_in(parent: QWidget, folder: Path, title: str, kind: str, endings: Sequence[str]) -> Path | None:
    kinds = f"{kind} ({' '.join(f'*{ending}' for ending in endings)});;All files (*)"
    chosen, _ = QFileDialog.getOpenFileName(parent, title, str(folder), kinds)
    return Path(chosen) if chosen else None


def which_folder(parent: QWidget, start: Path) -> Path | None:
    """Ask for a folder to write into; None when the user thinks better of it."""
    chosen = QFileDialog.getExistingDirectory(parent, "Write the files into", str(start))
    return Path(chosen) if chosen else None


def which_set_folder(parent: QWidget, start: Path) -> Path | None:
    """Ask for the folder of a finished set; None when the user thinks better of it."""
    chosen = QFileDialog.getExistingDirectory(parent, "Choose the folder of a finished set", str(start))
    return Path(chosen) if chosen else None


def show_folder(folder: Path) -> None:
    """Open a folder in the desktop's own window for files."""
    QDesktopServices.openUrl(QUrl(folder.absolute().as_uri()))
