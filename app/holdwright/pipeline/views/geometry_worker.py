"""The window's work on a recipe and its sculpt, done in a process of its own.

The kernel holds the interpreter for as long as a cut takes, and a crash of native code ends its process.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.files.reading import read_sculpt
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.memory_limits import release_memory
from holdwright.pipeline.recipes.recipe_file import read_recipe
from holdwright.pipeline.replaying.cache import Cache
from holdwright.pipeline.replaying.store import Store
from holdwright.pipeline.views.work_context import WorkContext
from holdwright.progress import Progress

PAUSE: Final = 0.3
"""Seconds without work after which memory is tidied."""

MUCH: Final = 1.0
"""Seconds of work that leave enough memory free to be worth tidying: after the moves of a drag it would only
have to be asked for again, which makes the next move slower by half."""

Work = Callable[[WorkContext, Any], object]
"""What is done on a recipe and its sculpt, from the context and what is requested; gives what is sent."""


@dataclass(frozen=True)
class RecipeWork:
    """Work on a recipe and its sculpt."""

    work: Work
    """A function of a module. It travels by its name, so that the process knows nothing of it before."""
    recipe: str
    sculpt: str
    """recipe, sculpt: the recipe's text; path of the sculpt's file."""
    requested: object
    """What `work` is given; must be fit to be pickled, and so must its result."""
    latest_only: bool = False
    """Whether it is dropped, while it waits to be sent, for another such."""


class GeometryWorker:
    """Does `RecipeWork`; remembers results in memory and in a folder, where the next process finds them."""

    def __init__(self, store_folder: Path) -> None:
        self._store = Store(store_folder)
        self._store.tidy()
        self._cache = Cache(store=self._store)
        self._sculpt: tuple[tuple[str, int, int], Sculpt] | None = None
        self._untidy = self._paused = False

    def do(self, work: RecipeWork, progress: Progress, send: Callable[[object], None]) -> object:
        """Do the work and give its result."""
        began = time.monotonic()
        path = Path(work.sculpt)
        try:
            context = WorkContext(
                read_recipe(work.recipe),
                path,
                lambda part: self._read(path, part),
                load_catalogue(),
                self._cache,
                progress,
                send,
            )
            return work.work(context, work.requested)
        finally:
            self._paused = False
            self._untidy |= time.monotonic() - began > MUCH

    def rest(self) -> float | None:
        """Write a result that is owed; when there is none, give back what the last work has left free."""
        if self._store.write_one():
            return 0.0
        if not self._untidy:
            return None
        if not self._paused:
            self._paused = True
            return PAUSE
        release_memory()
        self._untidy = False
        return None

    def _read(self, path: Path, progress: Progress) -> Sculpt:
        """Read the sculpt unless it is the one at hand, unchanged on the disk since, or gone from there."""
        try:
            status = path.stat()
            mark = (str(path), status.st_mtime_ns, status.st_size)
        except OSError:
            if self._sculpt is not None and self._sculpt[0][0] == str(path):
                return self._sculpt[1]
            mark = (str(path), 0, 0)
        if self._sculpt is None or self._sculpt[0] != mark:
            progress.report(0.0, f"reading {path.name}")
            self._sculpt = (mark, read_sculpt(path, progress))
        return self._sculpt[1]
