"""A screen, an application and a clean desk for every test of the window."""

import atexit
import gc
import os
import shutil
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

from fork_server import copied_processes

__all__ = ["copied_processes"]

HEAVY = ("vtkRenderWindow", "vtkRenderer", "vtkActor", "vtkPolyData", "vtkRenderWindowInteractor")
"""Classes of the drawing library of which nothing may outlive its test."""

_failed = pytest.StashKey[bool]()


def pytest_collection_modifyitems(items):
    """Any warning of Qt's fails a test of the window."""
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.qt_log_level_fail("WARNING"))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    report = yield
    item.stash[_failed] = item.stash.get(_failed, False) or report.failed
    return report


@pytest.fixture(scope="session")
def display() -> None:
    """A screen to draw on: the one there is, else a virtual one; without either the tests are skipped."""
    chosen = os.environ.get("QT_QPA_PLATFORM")
    if sys.platform != "linux" or os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"):
        return
    if shutil.which("Xvfb") is None or chosen not in (None, "xcb"):
        pytest.skip("no display to open a window on: run under a desktop, or install xvfb")
    reading, writing = os.pipe()
    command = ["Xvfb", "-displayfd", str(writing), "-screen", "0", "1600x1200x24", "-nolisten", "tcp"]
    server = subprocess.Popen(command, pass_fds=[writing], stderr=subprocess.DEVNULL)
    os.close(writing)
    with os.fdopen(reading) as answer:
        number = answer.readline().strip()
    if not number:
        server.wait()
        pytest.skip("no display to open a window on: the virtual screen did not start")
    os.environ["DISPLAY"] = f":{number}"
    # Not before the very end: the application talks to its screen until then.
    atexit.register(server.terminate)


@pytest.fixture(scope="session")
def qapp_args(display, tmp_path_factory):
    """The application's arguments, once nothing it keeps can reach the tester's own folders."""
    from PySide6.QtCore import QSettings, QStandardPaths

    home = tmp_path_factory.mktemp("home")
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME"):
        os.environ[name] = str(home / name.lower())
    QStandardPaths.setTestModeEnabled(True)
    QSettings.setDefaultFormat(QSettings.Format.IniFormat)
    for scope in (QSettings.Scope.UserScope, QSettings.Scope.SystemScope):
        QSettings.setPath(QSettings.Format.IniFormat, scope, str(home / "settings"))
    return ["holdwright-tests"]


@pytest.fixture(scope="session")
def qapp(qapp, copied_processes):
    """The application, dressed as the window is by day."""
    from holdwright.gui.widgets import style

    style.apply(qapp, "light")
    return qapp


@pytest.fixture
def settings(qapp, tmp_path):
    """Settings of this test alone."""
    from PySide6.QtCore import QSettings

    return QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)


@pytest.fixture(scope="module")
def print_rest() -> int:
    """How long a document must rest before its print is computed, ms: in most tests nobody waits for that."""
    return 120_000


@pytest.fixture
def data_folder(tmp_path) -> Path:
    """A folder of this test alone for autosaves and results."""
    folder = tmp_path / "kept"
    folder.mkdir()
    return folder


@pytest.fixture
def shown(qtbot):
    """Shows a widget in a window of its own, with the keyboard on it."""

    def show(widget, width=340, height=760):
        qtbot.addWidget(widget)
        widget.resize(width, height)
        with qtbot.waitExposed(widget):
            widget.show()
        widget.activateWindow()
        qtbot.waitUntil(widget.isActiveWindow)
        return widget

    return show


@pytest.fixture
def view(qtbot):
    """A view on screen that jumps rather than flies, seen square on from the front."""
    from holdwright.gui.viewport.viewport import Viewport

    made = Viewport()
    made.animated = False
    made.resize(480, 360)
    qtbot.addWidget(made)
    with qtbot.waitSignal(made.frame_drawn, timeout=20_000):
        made.show()
    yield made
    made.close_view()


def _drawn() -> list[str]:
    """Name the classes of what the test has drawn and is still alive."""
    return [type(each).__name__ for each in gc.get_objects() if _is_heavy(type(each))]


@cache
def _is_heavy(kind: type) -> bool:
    return any(each.__name__ in HEAVY for each in kind.__mro__)


@pytest.fixture(autouse=True)
def _nothing_left_behind(request):
    """Fail a test that leaves windows, widgets or anything drawn behind."""
    if "qapp" not in request.fixturenames or "shared_window" in request.fixturenames:
        yield
        return
    app = request.getfixturevalue("qapp")
    # What lives by now is not looked through again and again: a whole collection takes half a second.
    gc.freeze()
    widgets = set(app.allWidgets())
    yield
    try:
        _look_for_what_is_left(app, widgets, request)
    finally:
        gc.unfreeze()


@pytest.fixture(scope="module")
def shared_window(qapp, tmp_path_factory, print_rest):
    """One window for tests of a module that leave it as they met it.

    What is left of a window is looked for by the tests that have one of their own.
    """
    from PySide6.QtCore import QSettings
    from PySide6.QtTest import QTest

    from holdwright.gui.document import questions
    from whole_window import quick_window

    folder = tmp_path_factory.mktemp("shared")
    (folder / "kept").mkdir()
    settings = QSettings(str(folder / "settings.ini"), QSettings.Format.IniFormat)
    with pytest.MonkeyPatch.context() as patch:
        made = quick_window(patch, settings, folder / "kept", print_rest)
        made.show()
        assert QTest.qWaitForWindowExposed(made)
        yield made
        patch.setattr(questions, "unsaved", lambda *_about: 1)
        made.close()
        made.deleteLater()


def _look_for_what_is_left(app, widgets, request):
    from PySide6.QtCore import QCoreApplication, QEvent

    if request.node.stash.get(_failed, False):
        return
    # The test keeps what it was given until it is taken down, which is only after this.
    request.node.funcargs.clear()
    for _ in range(3):
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
        app.processEvents()
        gc.collect()
        if not _drawn() and set(app.allWidgets()) <= widgets:
            return
    left = [type(each).__name__ for each in app.allWidgets() if each not in widgets]
    assert left == [], "widgets outlived the test"
    assert _drawn() == [], "drawn things outlived the test"
