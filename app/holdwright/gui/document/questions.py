"""The few questions the window asks. Each says what happens either way, with a verb on each button."""

from collections.abc import Sequence
from pathlib import Path

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
    """Ask what to do with unsaved changes: 0 save, 1 leave them, 2 stay."""
    return ask(
        parent,
        f"Save the changes to {name}?",
        "If you do not save, the changes since the last save are lost.",
        ["Save", "Discard changes", "Cancel"],
    )


def sculpt_dropped(parent: QWidget, path: Path) -> int:
    """Ask what a dropped sculpt is for: 0 replace the present one, 1 start anew, 2 neither."""
    return ask(
        parent,
        f"Replay this recipe on {path.name}?",
        "The same steps run on the new sculpt. Or start a new recipe for it.",
        ["Replace the sculpt", "New recipe", "Cancel"],
    )


def which_of(parent: QWidget, paths: Sequence[Path]) -> Path | None:
    """Ask which of several dropped files to open."""
    shown = list(paths)[:6]
    detail = "" if len(paths) <= len(shown) else f"The first {len(shown)} of {len(paths)} are listed."
    number = ask(parent, "Open which file?", detail, [*(path.name for path in shown), "Cancel"])
    return shown[number] if number < len(shown) else None


def recover(parent: QWidget, name: str) -> int:
    """Ask what to do with changes that were kept: 0 go on with them, 1 let them go, 2 ask later."""
    return ask(
        parent,
        f"Recover unsaved changes to {name}?",
        "Holdwright closed without saving them. Discarded changes cannot be recovered.",
        ["Recover", "Discard", "Decide later"],
    )


def leave_while_writing(parent: QWidget, verb: str) -> bool:
    """Ask whether to leave the document ("Close", "Open") although files of it are still being written."""
    answer = ask(
        parent,
        f"Files are still being written. {verb} anyway?",
        "No file is written, and the folder stays unchanged.",
        ["Cancel", verb],
        safe=0,
    )
    return answer == 1


def changed_on_disk(parent: QWidget, name: str) -> bool:
    """Ask whether to write over a recipe that something else has changed since it was opened."""
    answer = ask(
        parent,
        f"{name} was changed by another program since you opened it. Overwrite it?",
        "Overwriting loses those changes.",
        ["Overwrite", "Cancel"],
    )
    return answer == 0


def sculpt_changed(parent: QWidget, name: str) -> bool:
    """Ask whether to replay a sculpt that was changed on the disk."""
    answer = ask(
        parent,
        f"{name} has changed since it was read. Replay the recipe on it?",
        "The same steps run on the changed sculpt.",
        ["Replay", "Later"],
    )
    return answer == 0


def sculpt_revised(parent: QWidget, name: str) -> bool:
    """Ask about a sculpt changed since its recipe was saved: whether to find the one it was made for."""
    answer = ask(
        parent,
        f"{name} has changed since this recipe was saved. Use the changed sculpt?",
        "The steps are done again on it; places picked by hand may have moved. Or find the sculpt that the "
        "recipe was made for.",
        ["Use it", "Find the original..."],
        safe=0,
    )
    return answer == 1


def which_sculpt(parent: QWidget, folder: Path) -> Path | None:
    """Ask for a sculpt; None when the user thinks better of it."""
    known = " ".join(f"*{ending}" for ending in SCULPT_ENDINGS)
    chosen, _ = QFileDialog.getOpenFileName(
        parent, "Find the sculpt", str(folder), f"Sculpts ({known});;All files (*)"
    )
    return Path(chosen) if chosen else None


def where_to_save(parent: QWidget, suggestion: Path) -> Path | None:
    """Ask where to save the recipe; None when the user thinks better of it."""
    chosen, _ = QFileDialog.getSaveFileName(parent, "Save the recipe", str(suggestion), "Recipes (*.json)")
    if not chosen:
        return None
    path = Path(chosen)
    return path if path.suffix else path.with_suffix(".json")


def what_to_open(parent: QWidget, folder: Path) -> Path | None:
    """Ask for a sculpt or a recipe to open; None when the user thinks better of it."""
    known = " ".join(f"*{ending}" for ending in (*SCULPT_ENDINGS, *RECIPE_ENDINGS))
    kinds = f"Sculpts and recipes ({known});;All files (*)"
    chosen, _ = QFileDialog.getOpenFileName(parent, "Open a sculpt or a recipe", str(folder), kinds)
    return Path(chosen) if chosen else None
