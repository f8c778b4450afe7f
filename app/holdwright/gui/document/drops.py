"""What a drop on the window means."""

import json
import os
from contextlib import suppress
from pathlib import Path
from typing import Final, Literal
from urllib.parse import unquote_to_bytes

from PySide6.QtCore import QMimeData, QUrl

from holdwright.files.format_detection import ENDINGS, READ
from holdwright.pipeline.strict_json import LARGEST_BYTES
from holdwright.printable import printable

WALL_KEYS: Final = {"panels", "t_nuts", "placed"}
RECIPE_ENDINGS: Final = (".json",)
SCULPT_ENDINGS: Final = tuple(ENDINGS)


def dropped_paths(content: QMimeData) -> tuple[Path, ...]:
    """Give the local files and folders that are dropped."""
    return tuple(local_path(url) for url in content.urls() if url.isLocalFile())


def local_path(url: QUrl) -> Path:
    """Give the path of a local file; on POSIX its very bytes, which need not be UTF-8."""
    if os.name == "nt":
        return Path(url.toLocalFile())
    encoded = url.path(QUrl.ComponentFormattingOption.FullyEncoded)
    return Path(os.fsdecode(unquote_to_bytes(encoded)))


def is_recipe(path: Path) -> bool:
    """Tell whether a file is to be opened as a recipe: by its ending alone."""
    return path.suffix.lower() in RECIPE_ENDINGS


def json_kind(path: Path) -> Literal["recipe", "set", "wall"]:
    """Tell what a JSON file is to be opened as: by its name, as in "north.set.json", or by what is in it."""
    for kind in ("set", "wall"):
        if path.name.lower().endswith(f".{kind}.json"):
            return kind
    with suppress(OSError, ValueError, RecursionError):
        if path.stat().st_size <= LARGEST_BYTES:
            content = json.loads(path.read_bytes())
            if isinstance(content, dict) and "steps" not in content:
                return "set" if "holds" in content else "wall" if content.keys() & WALL_KEYS else "recipe"
    return "recipe"


def refusal(path: Path) -> str:
    """Say why a path can be neither sculpt nor recipe, blank when it may be one.

    A sculpt's reader judges by content; here only what can be told at a glance is turned away.
    """
    if path.is_dir():
        return f"{printable(path.name)} is a folder; drop one sculpt ({READ}) or one recipe from it."
    if not path.is_file():
        return f"{printable(path.name)} is no longer there; drop it again from its new folder."
    if path.suffix.lower() not in (*RECIPE_ENDINGS, *SCULPT_ENDINGS):
        return (
            f"{printable(path.name)} is not a sculpt Holdwright can read; drop an {READ} file, or a recipe."
        )
    return ""
