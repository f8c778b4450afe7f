"""Pictures of the real window at work, for the README; they need a screen, a virtual one will do."""

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QSettings
from PySide6.QtTest import QTest

from holdwright.gui.application import application, build_window
from holdwright.gui.main_window import MainWindow
from holdwright.gui.widgets import style

SIZE = (1280, 800)
PATIENCE = 180.0
"""Seconds a loaded machine may take to finish the sample."""


def draw_window(sample: Path, folder: Path) -> None:
    """Open the window on a sample and take pictures of it by day and by night."""
    app = application(["holdwright"])
    for scheme in ("light", "dark"):
        style.apply(app, scheme)
        with tempfile.TemporaryDirectory() as data:
            settings = QSettings(str(Path(data) / "settings.ini"), QSettings.Format.IniFormat)
            window = build_window(settings, Path(data), scheme)
            window.viewport.animated = False
            window.resize(*SIZE)
            window.show()
            QTest.qWaitForWindowExposed(window)
            try:
                _take(window, sample, folder, scheme)
            finally:
                window.opening.may_leave = lambda *_verb: True
                window.close()
                window.deleteLater()
                QTest.qWait(50)


def _take(window: MainWindow, sample: Path, folder: Path, scheme: str) -> None:
    if scheme == "light":
        _shoot(window, folder / "window-empty.png")
    window.begin(sample)
    _wait(lambda: window.document.step(window.document.recipe.steps[-1].id) is not None)
    _wait(lambda: not window.document.busy)
    steps = {step.operation: step.id for step in window.document.recipe.steps}
    if scheme == "dark":
        window.document.edits.select(steps["split_core"])
        _shoot(window, folder / "window-dark.png")
        return
    for operation, name in (("trim_base", "trim"), ("chamfer_tips", "tips"), ("cut_bore", "bore")):
        window.document.edits.select(steps[operation])
        _shoot(window, folder / f"window-{name}.png")
    window.document.edits.select(steps["split_core"])
    window.actions_table["section"].setChecked(True)
    _shoot(window, folder / "window-section.png")


def _shoot(window: MainWindow, path: Path) -> None:
    QTest.qWait(1500)
    window.grab().save(str(path))


def _wait(done: Callable[[], bool]) -> None:
    begun = time.monotonic()
    while not done():
        if time.monotonic() - begun > PATIENCE:
            raise TimeoutError("The window did not finish the sample in time.")
        QTest.qWait(50)
