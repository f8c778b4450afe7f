"""The geometry process: does jobs one at a time and sends each step's result as soon as it is there.

The kernel holds the interpreter for as long as a cut takes, so geometry runs in a process of its own; a crash
of native code ends that process and not the window.
"""

import time
import traceback
from collections import OrderedDict, deque
from contextlib import suppress
from multiprocessing.connection import Connection
from pathlib import Path

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import Cancelled, CatalogueError, HoldwrightError
from holdwright.files.reading import read_sculpt
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.memory_limits import limit_memory, memory_limit
from holdwright.operations import OPERATIONS
from holdwright.operations.base import Outcome
from holdwright.pipeline.cache import Cache
from holdwright.pipeline.display_results import ShownStep, Surface, shown_step
from holdwright.pipeline.memory_release import give_back
from holdwright.pipeline.messages import (
    Answer,
    Ended,
    Errand,
    Gave,
    Job,
    Quit,
    Reported,
    Request,
    SculptShown,
    StepShown,
    Stop,
)
from holdwright.pipeline.recipe import Recipe
from holdwright.pipeline.recipe_file import read_recipe
from holdwright.pipeline.replay import replay_steps
from holdwright.pipeline.store import Store
from holdwright.pipeline.work_context import Bench
from holdwright.progress import Progress

CACHE_BYTES = 2_000_000_000
MOST_OWED = 10
OUT_OF_MEMORY = (
    "This takes more memory than the machine can give it, so it was stopped and nothing was changed; close "
    "other programs, or simplify the sculpt."
)
PAUSE = 0.3
"""Seconds without work after which memory is tidied."""
MUCH = 1.0
"""Seconds of work that leave enough memory free to be worth tidying: after the moves of a drag it would only
have to be asked for again, which makes the next move slower by half."""
REPORT_EVERY = 0.05
"""Seconds between reports of progress: more often nobody can read."""


def serve(
    connection: Connection, store_folder: str, cache_bytes: int = CACHE_BYTES, memory: int | None = None
) -> None:
    """Do jobs until told to quit, or until the other side is gone.

    Parameters
    ----------
    connection
        Carries `Request` in and `Answer` out.
    store_folder
        Where results are kept so that a process started after a crash finds them.
    memory
        Bytes that this process may take; None for the greater part of what the machine has. Beyond it the
        whole machine would stall, the window with it.
    """
    limit_memory(memory or memory_limit())
    store = LateStore(Path(store_folder))
    store.tidy()
    Worker(connection, Cache(cache_bytes, store), store).run()


class LateStore(Store):
    """A store that is written to when there is nothing better to do, so that no result waits for the disk."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self._owed: OrderedDict[str, Outcome] = OrderedDict()

    def __contains__(self, key: str) -> bool:
        return key in self._owed or super().__contains__(key)

    @property
    def owing(self) -> bool:
        """Whether anything is still to be written."""
        return bool(self._owed)

    def get(self, key: str) -> Outcome | None:
        """Give the outcome of that key, or None."""
        return self._owed.get(key) or super().get(key)

    def put(self, key: str, outcome: Outcome) -> None:
        """Remember to write an outcome down; of many quick edits only the last ones are worth it."""
        self._owed[key] = outcome
        while len(self._owed) > MOST_OWED:
            self._owed.popitem(last=False)

    def write_one(self) -> None:
        """Write the oldest outcome owed, if any."""
        if self._owed:
            key, outcome = self._owed.popitem(last=False)
            super().put(key, outcome)


class Worker:
    """The loop of the geometry process."""

    def __init__(self, connection: Connection, cache: Cache, store: LateStore) -> None:
        self._connection = connection
        self._cache = cache
        self._store = store
        with suppress(CatalogueError):  # what is wrong with the tables is told with the first job
            load_catalogue()
        self._waiting: deque[Job | Errand] = deque()
        self._stopped: set[int] = set()
        self._sculpt: tuple[tuple[str, int, int], Sculpt] | None = None
        self._quit = False
        self._untidy = False
        self._reported = 0.0

    def run(self) -> None:
        """Take requests until told to quit."""
        with suppress(KeyboardInterrupt, OSError):
            while not self._quit:
                if not self._waiting and not self._store.owing:
                    self._rest()
                self._take(block=not self._waiting and not self._store.owing)
                if not self._waiting:
                    self._store.write_one()
                if self._waiting and not self._quit:
                    began = time.monotonic()
                    self._do(self._waiting.popleft())
                    self._untidy |= time.monotonic() - began > MUCH

    def _rest(self) -> None:
        """Give back what the last work has left free, unless more comes at once."""
        if self._untidy and not self._connection.poll(PAUSE):
            give_back()
            self._untidy = False

    def _take(self, *, block: bool) -> None:
        """Take in what was asked meanwhile."""
        while not self._quit:
            try:
                if not self._connection.poll(None if block else 0):
                    return
                request: Request = self._connection.recv()
            except (EOFError, OSError):  # the window is gone
                request = Quit()
            block = False
            match request:
                case Quit():
                    self._quit = True
                case Stop(number):
                    self._stopped.add(number)
                case Job():
                    self._pass_over_jobs()
                    self._waiting.append(request)
                case Errand():
                    self._waiting.append(request)

    def _pass_over_jobs(self) -> None:
        """Of waiting jobs none is worth doing once another is asked for; errands are."""
        for job in [each for each in self._waiting if isinstance(each, Job)]:
            self._waiting.remove(job)
            self._say(Ended(job.number, stopped=True))

    def _say(self, answer: Answer) -> None:
        try:
            self._connection.send(answer)
        except OSError:  # nobody is left to tell: what goes on is given up at its next report
            self._quit = True

    def _do(self, asked: Job | Errand) -> None:
        number = asked.number
        progress = Progress(
            lambda fraction, text: self._report(number, fraction, text), lambda: self._cancelled(number)
        )
        try:
            if isinstance(asked, Job):
                failed = self._do_job(asked, progress)
            else:
                failed = self._do_errand(asked, progress)
            self._say(Ended(number, failed))
        except Cancelled:
            self._say(Ended(number, stopped=True))
        except HoldwrightError as error:
            self._say(Ended(number, str(error)))
        except MemoryError:
            self._say(Ended(number, OUT_OF_MEMORY))
        except Exception as error:  # noqa: BLE001  whatever went wrong, the window must learn of it
            traceback.print_exc()
            self._say(Ended(number, f"Something went wrong inside Holdwright ({error!r}); please report it."))

    def _do_job(self, job: Job, progress: Progress) -> str:
        """Replay a recipe for the window; give the sentence of what failed, or blank."""
        recipe = read_recipe(job.recipe)
        sculpt = self._read(Path(job.sculpt), progress.part(0.0, 0.1))
        if sculpt.digest not in job.have:
            self._say(shown_sculpt(job.number, sculpt))
        return self._replay(job, recipe, sculpt, progress.part(0.1, 1.0))

    def _do_errand(self, errand: Errand, progress: Progress) -> str:
        path = Path(errand.sculpt)
        bench = Bench(
            read_recipe(errand.recipe),
            path,
            lambda part: self._read(path, part),
            load_catalogue(),
            self._cache,
            progress,
        )
        self._say(Gave(errand.number, errand.work(bench, errand.asked)))
        return ""

    def _replay(self, job: Job, recipe: Recipe, sculpt: Sculpt, progress: Progress) -> str:
        """Replay and send each result; give the sentence of the step that failed, or blank."""
        done = 0
        sent = set(job.have)
        results = replay_steps(
            recipe, sculpt, catalogue=load_catalogue(), cache=self._cache, progress=progress, until=job.until
        )
        try:
            for result in results:
                done += 1
                self._say(StepShown(job.number, shown_step(result, with_solids=result.key not in sent)))
                sent.add(result.key)
        except Cancelled:
            raise
        except HoldwrightError as error:
            if done >= len(recipe.steps):
                raise
            step = recipe.steps[done]
            title = next(
                (known.title for known in OPERATIONS if known.name == step.operation), step.operation
            )
            self._say(StepShown(job.number, ShownStep(step.id, step.operation, title, "", failed=str(error))))
            return str(error)
        return ""

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

    def _report(self, number: int, fraction: float, text: str) -> None:
        now = time.monotonic()
        if now - self._reported >= REPORT_EVERY or fraction >= 1.0:
            self._reported = now
            self._say(Reported(number, fraction, text))

    def _cancelled(self, number: int) -> bool:
        self._take(block=False)
        return self._quit or number in self._stopped


def shown_sculpt(number: int, sculpt: Sculpt) -> SculptShown:
    """Give a raw sculpt as the window knows it."""
    pieces = tuple(
        (piece.name, Surface(piece.vertices.astype("float32"), piece.triangles.astype("int32")))
        for piece in sculpt.pieces
    )
    return SculptShown(number, pieces, sculpt.digest, sculpt.notes, sculpt.unit)
