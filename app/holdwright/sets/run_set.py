"""Makes the holds of a set side by side: one that fails stops no other, none is made again for nothing."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, Literal

from holdwright.errors import Cancelled, HoldwrightError, sentence_of
from holdwright.export.export_key import made_before
from holdwright.export.formats import DEFAULT_FORMATS
from holdwright.export.options import USUAL, ExportOptions
from holdwright.pipeline.recipes.set_file import HoldSet, PlannedHold
from holdwright.progress import Progress
from holdwright.sets.benches import Bench, Benches
from holdwright.sets.hold_task import HoldTask, task_of

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
    holds: Sequence[PlannedHold], out: Path, options: SetOptions, benches: Benches, heard: Heard | None = None
) -> Iterator[MadeHold]:
    """Make holds into folders of their names in `out`, and give each as soon as it is made or has failed.

    When the benches are given up, so are those that are being made; what is finished stays, and is known
    again by what it was made from.

    Raises
    ------
    Cancelled
        When the benches were asked to stop.
    """
    yield from benches.each(HoldMaker(out, options, heard, benches.is_stopped).make, holds)


class HoldMaker:
    """Makes holds at benches."""

    def __init__(
        self,
        out: Path,
        options: SetOptions,
        heard: Heard | None = None,
        stopped: Callable[[], bool] | None = None,
    ) -> None:
        self._out, self._options, self._heard, self._stopped = out, options, heard, stopped

    def make(self, bench: Bench, hold: PlannedHold) -> MadeHold:
        """Make a hold, unless its files are there; why it failed is in what is given.

        Raises
        ------
        Cancelled
            When it was asked to stop.
        """
        try:
            task = task_of(hold, self._out, self._options.formats, self._options.options)
            progress = Progress(lambda fraction, text: self._hear(hold, fraction, text), self._stopped)
            return unchanged(hold, task) or finished(
                hold, task, bench.do(task, progress, self._options.seconds)
            )
        except Cancelled:
            raise
        except Exception as error:  # noqa: BLE001  told of this hold, and the others go on
            return failed(hold, error)

    def _hear(self, hold: PlannedHold, fraction: float, text: str) -> None:
        if self._heard is not None:
            self._heard(hold, fraction, text)


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
