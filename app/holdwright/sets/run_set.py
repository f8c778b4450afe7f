"""Makes the holds of a set side by side: one that fails stops no other, none is made again for nothing."""

import os
import queue
import threading
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, Literal

from holdwright.errors import HoldwrightError, sentence_of
from holdwright.export.export_key import made_before
from holdwright.export.formats import DEFAULT_FORMATS
from holdwright.export.options import USUAL, ExportOptions
from holdwright.pipeline.contained import Contained
from holdwright.pipeline.set_file import HoldSet, PlannedHold
from holdwright.progress import Progress
from holdwright.sets.hold_task import HoldTask, HoldWorker, task_of

SECONDS: Final = 900.0
"""What one hold may take, where nothing else is asked for."""

Status = Literal["finished", "unchanged", "failed"]


@dataclass(frozen=True)
class MadeHold:
    """What became of one hold of a set."""

    hold: PlannedHold
    status: Status
    """finished: made now. unchanged: its files were there, made from the same. failed: see `message`."""
    message: str = ""
    """Why it failed, in a sentence."""
    code: int = 0
    """Exit code of that."""
    seconds: float = 0.0
    """Its making took."""
    report: dict[str, Any] = field(default_factory=dict, repr=False)
    """What of its report a set needs, as `needed` gives it; empty where it failed."""


@dataclass(frozen=True)
class SetOptions:
    """How a set is made."""

    formats: tuple[str, ...] = tuple(DEFAULT_FORMATS)
    options: ExportOptions = USUAL
    jobs: int = 0
    """Processes side by side; 0 for one a core."""
    seconds: float = SECONDS
    """Limit for one hold made here."""
    cluster: str = ""
    """Address of a scheduler whose workers make the holds; blank for this machine."""


Heard = Callable[[PlannedHold, float, str], None]
"""Told how far a hold is: fraction from 0 to 1, and what is done to it."""


def run_set(
    holds: Sequence[PlannedHold], out: Path, options: SetOptions, heard: Heard | None = None
) -> Iterator[MadeHold]:
    """Make holds into folders of their names in `out`, and give each as soon as it is made or has failed.

    When the iteration is given up, those that are being made are stopped; what is finished stays, and is
    known again by what it was made from.
    """
    waiting: queue.SimpleQueue[PlannedHold] = queue.SimpleQueue()
    for hold in holds:
        waiting.put(hold)
    made: queue.SimpleQueue[MadeHold | BaseException] = queue.SimpleQueue()
    jobs = min(options.jobs or os.cpu_count() or 1, len(holds))
    benches = [_Bench(waiting, made, out, options, heard) for _ in range(jobs)]
    try:
        for bench in benches:
            bench.start()
        for _ in holds:
            each = made.get()
            if isinstance(each, BaseException):
                raise each
            yield each
    finally:
        with suppress(queue.Empty):
            while True:
                waiting.get_nowait()
        for bench in benches:
            bench.stop()


class HoldMaker:
    """Makes one hold after the other in a child of its own, begun when the first has to be made."""

    def __init__(
        self,
        out: Path,
        options: SetOptions,
        heard: Heard | None = None,
        stopped: Callable[[], bool] | None = None,
    ) -> None:
        self._out, self._options, self._heard, self._stopped = out, options, heard, stopped
        self._child: Contained[float] = Contained(HoldWorker, name="holdwright-hold")

    def make(self, hold: PlannedHold) -> MadeHold:
        """Make a hold, unless its files are there; why it failed is in what is given."""
        try:
            task = task_of(hold, self._out, self._options.formats, self._options.options)
            progress = Progress(lambda fraction, text: self._hear(hold, fraction, text), self._stopped)
            return unchanged(hold, task) or finished(
                hold, task, self._child.do(task, progress, self._options.seconds)
            )
        except Exception as error:  # noqa: BLE001  told of this hold, and the others go on
            return failed(hold, error)

    def end(self) -> None:
        """End the child."""
        self._child.end()

    def _hear(self, hold: PlannedHold, fraction: float, text: str) -> None:
        if self._heard is not None:
            self._heard(hold, fraction, text)


class _Bench(threading.Thread):
    """Takes one hold after the other and has it made."""

    def __init__(
        self,
        waiting: "queue.SimpleQueue[PlannedHold]",
        made: "queue.SimpleQueue[MadeHold | BaseException]",
        out: Path,
        options: SetOptions,
        heard: Heard | None,
    ) -> None:
        super().__init__(name="holdwright-set", daemon=True)
        self._waiting, self._made = waiting, made
        self._stopped = threading.Event()
        self._maker = HoldMaker(out, options, heard, self._stopped.is_set)

    def run(self) -> None:
        """Work until nothing waits."""
        try:
            with suppress(queue.Empty):
                while not self._stopped.is_set():
                    self._made.put(self._maker.make(self._waiting.get_nowait()))
        except BaseException as error:  # noqa: BLE001  raised where the holds are waited for
            self._made.put(error)
        finally:
            self._maker.end()

    def stop(self) -> None:
        """Have the work ended at its next report, and wait for that."""
        self._stopped.set()
        if self.is_alive():
            self.join()


def unchanged(hold: PlannedHold, task: HoldTask) -> MadeHold | None:
    """Tell of a hold whose files are there, made from the same; None where they are not."""
    report = made_before(task.folder, task.name, task.key)
    return None if report is None else MadeHold(hold, "unchanged", report=needed(report))


def finished(hold: PlannedHold, task: HoldTask, seconds: float) -> MadeHold:
    """Tell of a hold that was made in so many seconds.

    Raises
    ------
    HoldwrightError
        When its files are not those that were asked for.
    """
    report = made_before(task.folder, task.name, task.key)
    if report is None:
        raise HoldwrightError(
            f"The files of {task.name} changed while they were made, as another program wrote to its sculpt "
            "or folder; run the set again."
        )
    return MadeHold(hold, "finished", seconds=seconds, report=needed(report))


def failed(hold: PlannedHold, error: BaseException) -> MadeHold:
    """Tell why a hold failed."""
    sentence, code = sentence_of(error)
    return MadeHold(hold, "failed", sentence, code)


def set_holds(of: HoldSet) -> tuple[PlannedHold, ...]:
    """Give the holds of a set, the largest sculpts first, so that none is left for the end alone."""
    return tuple(sorted(of.holds, key=lambda hold: -_bytes_of(hold.sculpt)))


def _bytes_of(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        return 0


def needed(report: dict[str, Any]) -> dict[str, Any]:
    """Give what of a hold's report its set needs: of a thousand holds all would not fit in memory."""
    bores = [
        {key: bore[key] for key in ("bolt", "washer", "t_nut", "screws_there", "screws_to_set")}
        for bore in (report["joint"] or {}).get("bores", ())
    ]
    return {
        "key": report["key"],
        "finished": report["envelope"]["finished"],
        "pose": report["pose"],
        "solids": list(report["solids"]),
        "bores": [{key: bore[key] for key in ("screw", "washer")} for bore in report["features"]["bores"]],
        "joint": {"bores": bores} if bores else None,
        "print": {key: value for key, value in report["print"].items() if key != "checks"},
        "findings": [
            {key: finding[key] for key in ("code", "severity", "message")}
            for finding in report["findings"]
            if finding["severity"] != "note"
        ],
        "notes": sum(finding["severity"] == "note" for finding in report["findings"]),
    }


def severities(made: MadeHold) -> Counter[str]:
    """Count a hold's errors and warnings."""
    return Counter(finding["severity"] for finding in made.report.get("findings", ()))
