"""Pictures of the real window in all its states; they need a screen, a virtual one will do."""

import atexit
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Collection, Iterator, Mapping
from functools import cache
from pathlib import Path

from PySide6.QtCore import QSettings
from PySide6.QtTest import QTest

from holdwright.gui.application import application, build_window
from holdwright.gui.main_window import MainWindow
from holdwright.gui.pages.export.sheet_preview import SheetPreview
from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import ScrollArea
from holdwright.operations.engrave_back import EngraveBack
from holdwright.resources import sample_folder

SIZE = (1280, 800)
PATIENCE = 600.0
"""Seconds a loaded machine may take to finish the sample, or to compute its strength."""

IN_README = {
    "light": {
        "empty": "window-empty",
        "step-trim_base": "window-trim",
        "step-chamfer_tips": "window-tips",
        "step-cut_bore": "window-bore",
        "section": "window-section",
        "joint": "window-joint",
        "print-checks": "window-checks",
        "strength": "window-strength",
        "engraved": "window-engraved",
        "revision": "window-revision",
        "set": "window-set",
        "wall": "window-wall",
    },
    "dark": {"step-split_core": "window-dark"},
}
"""By scheme: the states that README shows, and what their pictures are called."""


def draw_window(folder: Path) -> None:
    """Take the pictures of README."""
    for scheme, names in IN_README.items():
        _draw(scheme, folder, names)


def draw_states(folder: Path) -> None:
    """Take a picture of every state by day and by night, at one and two device pixels to the pixel."""
    for scale in ("1", "2"):
        # The scale is settled when Qt starts.
        environment = {**os.environ, "QT_SCALE_FACTOR": scale, "PYTHONPATH": os.pathsep.join(sys.path)}
        call = f"import sys, window_pictures as w; w.draw_scale(w.Path(sys.argv[1]), {scale})"
        subprocess.run([sys.executable, "-c", call, str(folder)], env=environment, check=True)


def draw_scale(folder: Path, scale: int) -> None:
    """Take a picture of every state in both schemes at the scale Qt was started with."""
    for scheme in IN_README:
        _draw(scheme, folder / f"{scheme}-{scale}x", None)


def _draw(scheme: style.Scheme, folder: Path, names: Mapping[str, str] | None) -> None:
    """Take pictures of the states of these names, or of all, in a window of their own."""
    folder.mkdir(parents=True, exist_ok=True)
    style.apply(application(["holdwright"]), scheme)
    with tempfile.TemporaryDirectory() as data:
        settings = QSettings(str(Path(data) / "settings.ini"), QSettings.Format.IniFormat)
        window = build_window(settings, Path(data), scheme)
        window.viewport.animated = False
        window.resize(*SIZE)
        window.show()
        QTest.qWaitForWindowExposed(window)
        try:
            for number, state in enumerate(_states(window, names)):
                if names is None or state in names:
                    QTest.qWait(700)
                    name = f"{number:02d}-{state}" if names is None else names[state]
                    window.grab().save(str(folder / f"{name}.png"))
        finally:
            window.opening.may_leave = lambda *_verb: True
            window.whole_pages.may_leave = lambda: True
            window.close()
            window.deleteLater()
            QTest.qWait(50)


def _states(window: MainWindow, names: Collection[str] | None) -> Iterator[str]:
    """Bring the window into one state after another; those that take long only where they are asked for."""
    document = window.document
    yield "empty"
    window.welcome_page.sample_requested.emit()
    _wait(lambda: document.session is not None and document.step(document.recipe.steps[-1].id) is not None)
    _settle(window)
    _wait(lambda: window.print_work.is_current)
    yield "hints"
    window.first_hints.away.click()
    steps = {step.operation: step.id for step in document.recipe.steps}
    for operation, step_id in steps.items():
        document.edits.select(step_id)
        yield f"step-{operation}"
    window.actions_table["section"].trigger()
    yield "section"
    window.actions_table["section"].trigger()
    for page in ("joint", "export", "preferences"):
        window.actions_table[page].trigger()
        _wait(lambda page=page: page != "joint" or bool(window.joint_page.cards))
        yield page
        if page == "export" and names is None:
            yield from _sheet(window)
    yield from _print(window, names)
    if names is None or "engraved" in names:
        yield from _engraved(window)
    window.help_page.open()
    yield "help"
    window.help_page.put_away()
    window.show_left(window.sidebar)
    if names is None:
        yield from _troubled(window, steps)
    if names is None or "revision" in names:
        document.edits.select(steps["trim_base"])
        document.replace_sculpt(sample_folder() / "hall-jug-revised.obj")
        _settle(window)
        _wait(lambda: document.revision.comparison is not None and window.print_work.is_current)
        window.revision_strip.details.click()
        window.revision_strip.old.click()
        if names is None:
            yield "revision-old"
        window.revision_strip.old.click()
        window.revision_strip.distance.click()
        _wait(lambda: window.viewport.scene.heat is not None)
        _settle(window)
        yield "revision"
    if names is None:
        window.sculpt_watch._offer(document.sculpt_path)
        yield "sculpt-changed"
    if names is None or {"set", "wall"} & set(names):
        yield from _set_and_wall(window)


def _sheet(window: MainWindow) -> Iterator[str]:
    """Preview the work sheet."""
    window.export_page.option_fields.sheet_fields.box.setChecked(True)
    yield "export-sheet"
    window.export_page.option_fields.sheet_fields.preview_button.click()
    (sheet,) = window.findChildren(SheetPreview)
    yield "sheet-being-drawn"
    _wait(lambda: bool(sheet.pages))
    yield "sheet"
    sheet.put_away()


def _print(window: MainWindow, names: Collection[str] | None) -> Iterator[str]:
    """Show the pages of the print, the checks with one of them on the hold, and the group unfolded."""
    states = [f"print-{page}" for page in window.print_pages]
    if names is not None and not {*states, "strength"} & set(names):
        return
    group = window.sidebar.to_print
    _wait(lambda: window.print_work.is_current and window.check_work.is_current)
    for page, state in zip(window.print_pages, states, strict=True):
        group.page_requested.emit(page)
        if page == "checks":
            window.checks_page.lines["overhang"].click()
            _wait(lambda: window.viewport.scene.heat is not None)
        yield state
        if page == "strength":
            window.strength_page.run_button.click()
            _wait(lambda: window.strength_work.is_current)
            yield "strength"
    if names is None:
        yield from _stock_offered(window)
    window.show_left(window.sidebar)
    group.fold(False)
    yield "print-group"
    group.fold(True)


def _stock_offered(window: MainWindow) -> Iterator[str]:
    """Print large in what lifts its corners, so that the checks offer stock to be sanded off."""
    edits, page = window.document.edits, window.checks_page
    window.sidebar.to_print.page_requested.emit("checks")
    size = next(step.id for step in window.document.recipe.steps if step.operation == "scale_to_envelope")
    edits.edit(size, {"diameter": 200.0})
    edits.edit("print", {"shell_material": "PA12"})
    _wait(lambda: bool(page.offers))
    QTest.qWait(50)
    page.findChild(ScrollArea).ensureWidgetVisible(page.offers["corner_lift"])
    yield "print-stock-offered"
    edits.undo()
    edits.undo()
    _settle(window)
    _wait(lambda: window.print_work.is_current and window.check_work.is_current)


def _engraved(window: MainWindow) -> Iterator[str]:
    """Engrave the back, looked at from behind."""
    edits = window.document.edits
    edits.add_step(EngraveBack.name)
    step_id = window.document.selected
    edits.edit(step_id, {"text": "Jug", "revision": "B"})
    _settle(window)
    window.viewport.set_view("back")
    yield "engraved"
    edits.undo()
    edits.undo()
    _settle(window)
    window.viewport.set_view("three_quarter")


def _troubled(window: MainWindow, steps: Mapping[str, str]) -> Iterator[str]:
    """Fold and unfold the findings, map the thickness, let a step fail and stop the work."""
    document, findings = window.document, window.sidebar.findings
    findings.headline.click()
    yield "findings-folded"
    findings.headline.click()
    findings.notes_button.click()
    yield "findings-open"
    findings.notes_button.click()
    for operation in ("import_sculpt", "cut_bore"):
        told = next(
            each
            for each in document.findings
            if each[0] == steps[operation] and each[1].severity == "note" and each[1].where is not None
        )
        window.sidebar.finding_chosen.emit(*told)
        yield f"note-of-{operation}"
    document.edits.select(steps["cut_bore"])
    window.actions_table["heat"].trigger()
    _wait(lambda: window.view_bar._thinnest.isEnabled())
    yield "thickness"
    window.actions_table["heat"].trigger()
    document.edits.edit(steps["scale_to_envelope"], {"diameter": 5.0})
    _settle(window)
    yield "failed"
    window.actions_table["export"].trigger()
    yield "failed-export"
    window.show_left(window.sidebar)
    document.edits.undo()
    _settle(window)
    document.edits.edit(steps["trim_base"], {"rim": 9.0})
    document.supervisor.stop()
    _settle(window)
    yield "stopped"
    document.edits.undo()
    _settle(window)


def _set_and_wall(window: MainWindow) -> Iterator[str]:
    """Show the sample set, finished, and its wall."""
    pages, folder = window.whole_pages, _finished_set()
    window.opening.open_path(sample_folder() / "hall-wall.set.json")
    yield "set-waiting"
    pages.set_page.use_folder(folder)
    _wait(lambda: pages.set_work.report is not None and bool(pages.set_page.summary.lines[3:]))
    pages.set_page.list.choose(2)
    yield "set"
    window.opening.open_path(sample_folder() / "hall-corner.wall.json")
    _wait(lambda: pages.wall_work.plan is not None)
    view = pages.wall_page.view
    view.choose(6)
    pages.wall_work.plan.remove(11)
    pages.wall_work.plan.hang(6, "G2", 40.0)
    pages.wall_work.changed.emit()
    yield "wall"
    window.show_over(None)


@cache
def _finished_set() -> Path:
    """Finish the sample set once, in a folder that goes with the program."""
    folder = Path(tempfile.gettempdir()) / "holds"  # it is read in the picture
    folder.mkdir(exist_ok=True)
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    path = sample_folder() / "hall-wall.set.json"
    words = ["-P", "-m", "holdwright", "set", str(path), "--out", str(folder / "north-wall")]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    subprocess.run([sys.executable, *words], env=environment, check=True, stdout=subprocess.DEVNULL)
    return folder / "north-wall"


def _settle(window: MainWindow) -> None:
    QTest.qWait(50)
    _wait(lambda: not window.document.busy)


def _wait(done: Callable[[], bool]) -> None:
    begun = time.monotonic()
    while not done():
        if time.monotonic() - begun > PATIENCE:
            raise TimeoutError("The window did not finish the sample in time.")
        QTest.qWait(50)
