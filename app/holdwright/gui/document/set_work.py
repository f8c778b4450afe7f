"""The open set as the window sees it: what became of each of its holds, and the work on them."""

import json
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, Literal

from PySide6.QtCore import QObject, QTimer, Signal

from holdwright.errors import Cancelled, HoldwrightError, sentence_of
from holdwright.pipeline.recipes.set_file import HoldSet, PlannedHold, load_set
from holdwright.sets.finish_set import finish_set
from holdwright.sets.hold_task import task_of
from holdwright.sets.known_files import REPORT
from holdwright.sets.run_set import MadeHold, SetOptions, failed, unchanged

PATIENCE: Final = 4.0
"""Seconds for which work that was stopped is waited for when the window closes."""

TELL_MS: Final = 250
"""Time between two tellings of how far holds are: for each the window is drawn anew."""

Status = Literal["waiting", "working", "finished", "unchanged", "failed"]


@dataclass
class SetRow:
    """One hold of the set, and what is known of it."""

    hold: PlannedHold
    status: Status = "waiting"
    fraction: float = 0.0
    doing: str = ""
    """fraction, doing: how far it is, from 0 to 1, and what is done to it; while it is worked on."""
    made: MadeHold | None = None


class SetWork(QObject):
    """Holds a set, and finishes it in threads that wait for children: nothing heavy is done in this process.

    Attributes
    ----------
    rows
        Its holds in the order of the file.
    out
        Folder of what is made.
    busy
        Whether it is being finished.
    looking
        Whether the folder is being looked through.
    stopping
        Whether that was asked to end and has not yet.
    report
        As `finish_set` gives it, of what is in the folder; None where the set is not all there.

    Signals
    -------
    opened
        Another set is open.
    row_changed
        Number of a hold of which something else is known.
    changed
        The state of the whole has changed.
    failed
        Why the set could not be finished.
    finished
        It was finished as far as it can be, in a sentence.
    """

    opened = Signal()
    row_changed = Signal(int)
    changed = Signal()
    failed = Signal(str)
    finished = Signal(str)
    _heard = Signal(int, str, float, str)
    _made = Signal(int, object)
    _ended = Signal(int, object, str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.path: Path | None = None
        self.out = Path()
        self.name = ""
        self.rows: list[SetRow] = []
        self.busy = self.stopping = self.looking = False
        self.report: dict[str, Any] | None = None
        self._numbers: dict[str, int] = {}
        self._set: HoldSet | None = None
        self._run = 0
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None
        self._further: set[int] = set()
        self._telling = QTimer(self, singleShot=True, interval=TELL_MS)
        self._telling.timeout.connect(self._tell_further)
        self._heard.connect(self._take_progress)
        self._made.connect(self._take_made)
        self._ended.connect(self._take_end)

    def open(self, path: Path) -> None:
        """Read a set's file, and look what of it is there.

        Raises
        ------
        RecipeError
            When it is no set, with what is wrong in it.
        HoldwrightError
            When another set is being finished.
        """
        if self.busy:
            raise HoldwrightError(f"{self.name} is being finished; stop that first, then open another set.")
        self._set = load_set(path)
        self.path, self.name = path.absolute(), self._set.name
        self.out = self.path.with_name(f"{path.name.partition('.')[0]}-finished")
        self.rows = [SetRow(hold) for hold in self._set.holds]
        self._numbers = {row.hold.name: number for number, row in enumerate(self.rows)}
        self.report = None
        self._further.clear()
        self._look()
        self.opened.emit()

    def use_folder(self, out: Path) -> None:
        """Have the set in another folder, and look what of it is there."""
        if self.busy:
            return
        self.out = out
        self._forget()
        self._look()

    def run(self) -> None:
        """Finish what is not there yet."""
        of, out, stop = self._set, self.out, threading.Event()
        if of is None or self.busy:
            return
        self._forget()
        self.busy, self.looking = True, False

        def work(run: int) -> dict[str, Any]:
            return finish_set(
                of,
                out,
                SetOptions(),
                lambda hold, fraction, text: self._heard.emit(run, hold.name, fraction, text),
                lambda made: self._made.emit(run, made),
                stop.is_set,
            )

        self._begin(work, stop)
        self.changed.emit()

    def stop(self) -> None:
        """Give up; what is finished stays."""
        if self.busy:
            self.stopping = True
            self._stop.set()
            self.changed.emit()

    def close(self) -> None:
        """Stop, and wait a moment for that; children that do not end in time go with the window."""
        self._run += 1
        self._stop.set()
        if self._thread is not None:
            self._thread.join(PATIENCE)
        self.busy = False

    def count(self, *statuses: Status) -> int:
        """Give how many holds are of these statuses."""
        return sum(row.status in statuses for row in self.rows)

    @property
    def fraction(self) -> float:
        """How far the whole is, from 0 to 1."""
        done = sum(row.fraction if row.status == "working" else row.status != "waiting" for row in self.rows)
        return done / max(len(self.rows), 1)

    @property
    def progress(self) -> str:
        """How many of its kinds of hold are done, in words."""
        return f"{self.count('finished', 'unchanged')} of {len(self.rows)} kinds of hold"

    @property
    def made(self) -> list[MadeHold]:
        """All that is finished."""
        return [row.made for row in self.rows if row.made is not None and row.made.report]

    def _forget(self) -> None:
        self.report = None
        for number, row in enumerate(self.rows):
            self.rows[number] = SetRow(row.hold)
            self.row_changed.emit(number)

    def _look(self) -> None:
        """Look in the folder for what is there."""
        self.looking = True
        of, out, stop = self._set, self.out, threading.Event()
        assert of is not None

        def work(run: int) -> dict[str, Any] | None:
            options = SetOptions()
            for hold in of.holds:
                if stop.is_set():
                    return None
                if hold.sculpt.is_file() and not (out / hold.name).is_dir():
                    continue
                try:
                    known = unchanged(hold, task_of(hold, out, options.formats, options.options))
                except HoldwrightError as error:
                    known = failed(hold, error)
                if known is not None:
                    self._made.emit(run, known)
            with suppress(OSError, ValueError):
                found = json.loads((out / REPORT).read_bytes())
                return found if isinstance(found, dict) else None
            return None

        self._begin(work, stop)

    def _begin(self, work: Callable[[int], dict[str, Any] | None], stop: threading.Event) -> None:
        self._stop.set()
        self._run += 1
        self._stop = stop

        def work_and_tell(run: int) -> None:
            try:
                self._ended.emit(run, work(run), "")
            except Cancelled:
                self._ended.emit(run, None, "")
            except Exception as error:  # noqa: BLE001  told in the window
                self._ended.emit(run, None, sentence_of(error)[0])

        self._thread = threading.Thread(target=work_and_tell, args=(self._run,), daemon=True, name="set")
        self._thread.start()

    def _take_progress(self, run: int, name: str, fraction: float, text: str) -> None:
        number = self._numbers.get(name)
        if run != self._run or number is None or self.rows[number].status not in ("waiting", "working"):
            return
        row = self.rows[number]
        begun = row.status == "working"
        row.status, row.fraction, row.doing = "working", fraction, text
        if not begun:
            self.row_changed.emit(number)
            return
        self._further.add(number)
        if not self._telling.isActive():
            self._telling.start()

    def _tell_further(self) -> None:
        further, self._further = self._further, set()
        for number in sorted(further):
            if self.rows[number].status == "working":
                self.row_changed.emit(number)

    def _take_made(self, run: int, made: MadeHold) -> None:
        number = self._numbers.get(made.hold.name)
        if run == self._run and number is not None:
            self.rows[number] = SetRow(self.rows[number].hold, made.status, made=made)
            self.row_changed.emit(number)

    def _take_end(self, run: int, report: dict[str, Any] | None, sentence: str) -> None:
        if run != self._run:
            return
        was_busy = self.busy
        self.busy = self.stopping = self.looking = False
        for number, row in enumerate(self.rows):
            if row.status == "working":
                self.rows[number] = SetRow(row.hold)
                self.row_changed.emit(number)
        self.report = report if report and self._tells_of_all(report) else None
        self.changed.emit()
        if sentence:
            self.failed.emit(sentence)
        elif was_busy and report is not None:
            lost = self.count("failed")
            rest = f", {lost} failed" if lost else ""
            self.finished.emit(f"{self.name} is finished: {self.progress}{rest}.")

    def _tells_of_all(self, report: dict[str, Any]) -> bool:
        """Tell whether a report is of just what is known of the holds."""
        listed = report.get("holds")
        known = {row.hold.name: row.made.report.get("key") if row.made else None for row in self.rows}
        return (
            isinstance(listed, list)
            and {each.get("name"): each.get("key") for each in listed if isinstance(each, dict)} == known
        )
