"""Builds the window and everything in it, once: nothing is reached for globally."""

import atexit
import os
import shutil
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from threading import Thread
from typing import Final

from PySide6.QtCore import QSettings, QStandardPaths, QTimer
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QApplication

from holdwright import __version__
from holdwright.catalogue.catalogue import OWN_TABLES, Catalogue, load_catalogue
from holdwright.errors import CatalogueError
from holdwright.export.staging import recover_everywhere
from holdwright.gui.composition import Composition
from holdwright.gui.document.autosave_folders import AutosaveFolders
from holdwright.gui.document.document import Document
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.gui.document.thickness_map import ThicknessMap
from holdwright.gui.main_window import MainWindow
from holdwright.gui.pages.preferences import Preferences
from holdwright.gui.widgets import style
from holdwright.loading import end_loading
from holdwright.printable import printable
from holdwright.resources import resource_folder


def application(arguments: Sequence[str]) -> QApplication:
    """Make Qt's application, dressed, or give the one that exists."""
    present = QApplication.instance()
    if isinstance(present, QApplication):
        return present
    created = QApplication(list(arguments))
    created.setApplicationName("holdwright")
    created.setApplicationDisplayName("Holdwright")
    created.setApplicationVersion(__version__)
    created.setOrganizationName("holdwright")
    created.setWindowIcon(QIcon(str(resource_folder() / "holdwright.svg")))
    return created


def data_folder() -> Path:
    """Give the folder on this machine for autosaves and remembered results."""
    return Path(QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppDataLocation))


WARM_UP_MS: Final = 250
"""How long after the window was built the geometry process is started: the window is to be seen first."""


def tables() -> tuple[Catalogue, str]:
    """Give the tables, and why the user's own are not among them; blank where they are, or there are none.

    What names the user's own is then taken out of the environment, so that the geometry process goes by the
    same tables as the window.

    Raises
    ------
    CatalogueError
        When the tables that ship with Holdwright are wrong.
    """
    try:
        return load_catalogue(), ""
    except CatalogueError as error:
        if not os.environ.pop(OWN_TABLES, ""):
            raise
        sentence = f"Your own tables were not loaded; only the built-in tables are used: {error}"
        return load_catalogue(), sentence


def writable_folder(requested: Path) -> tuple[Path, str]:
    """Give the folder for autosaves and results, and a sentence where it is not the one requested.

    It is then one that goes when the program ends.
    """
    try:
        requested.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=requested):
            return requested, ""
    except OSError as error:
        passing = Path(tempfile.mkdtemp(prefix="holdwright-"))
        atexit.register(shutil.rmtree, passing, ignore_errors=True)
        return passing, (
            f"Autosave is off, as {printable(requested)} cannot be written to "
            f"({error.strerror or error}): save often, or make that folder writable and start again."
        )


def build_window(
    settings: QSettings, folder: Path, scheme: style.Scheme, *, warm: bool = False
) -> MainWindow:
    """Build the main window.

    Parameters
    ----------
    settings
        Where preferences, window layout and recent files are stored.
    folder
        Where autosaves and remembered results are stored; where it cannot be written to, another is
        taken, and the window says so.
    warm
        Start the geometry process before there is work for it, so that the first sculpt need not wait.
    """
    catalogue, tables_trouble = tables()
    folder, folder_trouble = writable_folder(folder)
    results = folder / "results"
    autosave_folders = AutosaveFolders(folder / "autosave")
    supervisor = GeometrySupervisor(results)
    document = Document(supervisor, autosave_folders.folder)
    window = MainWindow(document, catalogue, settings, scheme, autosave_folders)
    # All goes with the window: what is connected to a signal lives as long as the signal's owner.
    document.setParent(window)
    supervisor.setParent(document)
    strength = GeometrySupervisor(results, window)
    Composition(window, catalogue, ThicknessMap(document, results, window), strength)
    trouble = "\n".join(filter(None, (folder_trouble, tables_trouble)))
    if trouble:
        window.trouble.fail(trouble)
    if warm:
        QTimer.singleShot(WARM_UP_MS, supervisor, supervisor.warm_up)
    return window


def run(path: Path | None = None) -> int:
    """Open the window, on a sculpt or a recipe where one is given, and stay until it is closed."""
    qt = application(sys.argv[:1])
    settings = QSettings()
    scheme = Preferences(settings).scheme_for(qt)
    style.apply(qt, scheme)
    # A folder that does not answer must hold up no window.
    Thread(target=recover_everywhere, daemon=True).start()
    window = build_window(settings, data_folder(), scheme, warm=True)
    window.show()
    QTimer.singleShot(0, lambda: _begin(window, path))
    return qt.exec()


def _begin(window: MainWindow, path: Path | None) -> None:
    """Start work; from now on garbage is looked for, but not among what was loaded, which stays."""
    end_loading()
    window.begin(path)
