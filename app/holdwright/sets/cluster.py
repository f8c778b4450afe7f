"""The holds of a set made by the workers of a Dask cluster, by its futures.

Sculpts go out and files come back by their content: a worker needs no folder in common with anybody. A worker
that is lost is made up for by the others; where the whole cluster goes away the rest is made here.
"""

import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from typing import Any, Final

from holdwright.errors import HoldwrightError
from holdwright.export.staging import staged
from holdwright.pipeline.recipes.set_file import PlannedHold
from holdwright.sets.benches import Benches
from holdwright.sets.hold_task import HoldTask, make_hold, task_of
from holdwright.sets.run_set import Heard, MadeHold, SetOptions, failed, finished, run_set, unchanged

REACHED_IN: Final = "10s"
"""What a scheduler may take to answer."""

AHEAD: Final = 2
"""Holds given out for each thread of a worker: one that is made, and one to go on with."""

TRIES: Final = 3
"""How often a hold is given out when its worker was lost."""

EVERY: Final = 0.05
PATIENCE: Final = 10.0
"""EVERY, PATIENCE: seconds between looks at what is done, and without an answer until the cluster is gone."""


def run_on_cluster(
    holds: Sequence[PlannedHold], out: Path, options: SetOptions, benches: Benches, heard: Heard | None = None
) -> Iterator[MadeHold]:
    """Make holds as `run_set` does, by the workers of the scheduler that the options name.

    Raises
    ------
    HoldwrightError
        When the library that speaks to clusters is not installed, or no scheduler with workers answers there.
    """
    client = _client(options.cluster)
    left = {hold.name: hold for hold in holds}
    try:
        for made in _Batch(client, out, options, benches.check).made(holds):
            del left[made.hold.name]
            if heard is not None:
                heard(made.hold, 1.0, made.status)
            yield made
    except _Gone:
        if heard is not None:
            for hold in left.values():
                heard(hold, 0.0, "the cluster is gone: made here")
        yield from run_set(tuple(left.values()), out, options, benches, heard)
    finally:
        with suppress(Exception):  # the cluster may be gone
            client.close(timeout=2)


class _Gone(Exception):  # noqa: N818  a state of the cluster
    """The cluster answers no more."""


def _client(address: str) -> Any:
    try:
        distributed: Any = import_module("distributed")
    except ImportError:
        raise HoldwrightError(
            "A cluster was asked for, but the library that speaks to one is not installed; install "
            "holdwright[cluster], or leave --cluster out."
        ) from None
    try:
        client = distributed.Client(address, timeout=REACHED_IN, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as error:
        reason = str(error).partition("\n")[0] or type(error).__name__
        raise HoldwrightError(
            f"No scheduler answers at {address} ({reason}); look at the address and whether it runs, or "
            "leave --cluster out."
        ) from None
    if not client.scheduler_info(n_workers=-1)["workers"]:
        client.close()
        raise HoldwrightError(
            f"The scheduler at {address} has no workers; start some, or leave --cluster out."
        )
    return client


class _Batch:
    """Holds that are given out to a cluster, as many at once as it has hands for."""

    def __init__(self, client: Any, out: Path, options: SetOptions, check: Callable[[], None]) -> None:
        self._client, self._out, self._options, self._check = client, out, options, check
        self._given: dict[Any, tuple[PlannedHold, HoldTask, int]] = {}
        self._heard = time.monotonic()

    def made(self, holds: Sequence[PlannedHold]) -> Iterator[MadeHold]:
        """Give out all holds, and give each as soon as it is made or has failed; raises `_Gone`."""
        waiting = list(reversed(holds))
        while waiting or self._given:
            self._check()
            while waiting and len(self._given) < self._hands():
                hold = waiting.pop()
                try:
                    task = task_of(hold, self._out, self._options.formats, self._options.options)
                    known = unchanged(hold, task)
                    if known is None:
                        self._give(hold, task, 1)
                        continue
                except HoldwrightError as error:  # told of this hold, and the others go on
                    known = failed(hold, error)
                yield known
            done = [future for future in self._given if future.done()]
            yield from filter(None, map(self._taken, done))
            if self._given and not done:
                self._look()
                time.sleep(EVERY)

    def _look(self) -> None:
        """Raise `_Gone` where the scheduler has not answered for a while."""
        if self._client.status == "running":
            self._heard = time.monotonic()
        elif time.monotonic() - self._heard > PATIENCE:
            raise _Gone

    def _hands(self) -> int:
        workers = self._client.scheduler_info(n_workers=-1)["workers"]
        return AHEAD * max(sum(int(worker["nthreads"]) for worker in workers.values()), 1)

    def _give(self, hold: PlannedHold, task: HoldTask, tried: int) -> None:
        """Give a hold out, its sculpt to every worker: what one alone has is lost with it."""
        name = f"{task.key}-{tried}"
        try:
            content = task.sculpt.read_bytes()
            (sculpt,) = self._client.scatter({f"sculpt-{name}": content}, broadcast=True).values()
            work = replace(task, folder=Path(), sculpt=Path(task.sculpt.name))
            future = self._client.submit(make_remotely, work, sculpt, key=f"hold-{name}", pure=False)
        except OSError as error:  # of the connection: the sculpt's bytes were read when its key was made
            raise _Gone from error
        self._given[future] = hold, task, tried

    def _taken(self, future: Any) -> MadeHold | None:
        """Write what a future brought; None where the hold is given out once more."""
        hold, task, tried = self._given.pop(future)
        if future.status == "finished":
            try:
                files, seconds = future.result()
                _write(files, task.folder)
                return finished(hold, task, seconds)
            except (HoldwrightError, OSError) as error:  # told of this hold, and the others go on
                return failed(hold, error)
        raised: BaseException | None = future.exception() if future.status == "error" else None
        if isinstance(raised, HoldwrightError | MemoryError):
            return failed(hold, raised)
        if tried < TRIES:
            self._give(hold, task, tried + 1)
            return None
        lost = HoldwrightError(
            f"Its workers were lost {TRIES} times; make it here, without --cluster, or look at their memory."
        )
        return failed(hold, raised or lost)


def make_remotely(task: HoldTask, sculpt: bytes) -> tuple[dict[str, bytes], float]:
    """Make a hold in a folder of its own on a worker, and give its files by name and the seconds it took."""
    begun = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="holdwright-") as folder:
        path, made = Path(folder) / task.sculpt, Path(folder) / "made"
        path.write_bytes(sculpt)
        make_hold(replace(task, sculpt=path, folder=made))
        files = {each.name: each.read_bytes() for each in sorted(made.iterdir())}
    return files, time.monotonic() - begun


def _write(files: dict[str, bytes], folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    with staged(folder) as stage:
        for name, content in files.items():
            (stage / name).write_bytes(content)
