"""What the window starts on where tables or the folder it was to have cannot be used."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

from holdwright.catalogue.catalogue import OWN_TABLES, Catalogue, load_catalogue
from holdwright.errors import CatalogueError
from holdwright.printable import printable


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
