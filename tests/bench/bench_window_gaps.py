"""Times the whole window at work: how long it ever stands still, how soon a moved bore is shown, its memory.

Run it under a display: ``python tests/bench/bench_window_gaps.py [TRIANGLES]``. Drawing frames is left out of
the gaps, as its time depends on the machine's graphics; the bore is compared with the bare cut and split of
the same solid in the same run.
"""

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT / "app"), str(ROOT / "tests")]

from PySide6.QtCore import QEvent, QEventLoop, QObject, QSettings, Qt, QTimer  # noqa: E402
from PySide6.QtWidgets import QApplication  # noqa: E402

from bench.bare import bare_bore, bare_bore_and_split  # noqa: E402
from bench.rough_sculpt import rough_sculpt, write_sculpt  # noqa: E402
from bench.timing import timed  # noqa: E402
from holdwright.catalogue.catalogue import load_catalogue  # noqa: E402
from holdwright.files.reading import read_sculpt  # noqa: E402
from holdwright.gui.application import build_window  # noqa: E402
from holdwright.gui.document.document import Document  # noqa: E402
from holdwright.gui.main_window import MainWindow  # noqa: E402
from holdwright.gui.widgets import style  # noqa: E402
from holdwright.hold.feature import Bore  # noqa: E402
from holdwright.pipeline.replaying.replay import replay  # noqa: E402

TRIANGLES = 1_000_000
MOVES = 9
EDITS = 200
DRAWING = (QEvent.Type.UpdateRequest, QEvent.Type.Paint, QEvent.Type.Expose)


class Watched(QApplication):
    """An application that knows how long it spends drawing, and what held it up longest.

    `drawn` is by the clock, `drew` what the thread itself was at work for it.
    """

    def __init__(self, arguments: list[str]) -> None:
        super().__init__(arguments)
        self.drawn = self.drew = 0.0
        self.frames: list[float] = []
        self.longest = (0.0, "")
        self._depth = 0

    def notify(self, receiver: QObject, event: QEvent) -> bool:
        kind = event.type()
        if self._depth or kind not in DRAWING:
            return self._other(receiver, event, kind)
        self._depth += 1
        start, began = time.perf_counter(), time.thread_time()
        done = super().notify(receiver, event)
        took = time.perf_counter() - start
        self._depth -= 1
        self.drawn += took
        self.drew += time.thread_time() - began
        self.frames.append(took)
        return done

    def _other(self, receiver: QObject, event: QEvent, kind: QEvent.Type) -> bool:
        start, drawn = time.perf_counter(), self.drawn
        done = super().notify(receiver, event)
        took = time.perf_counter() - start - (self.drawn - drawn)
        if not self._depth and took > self.longest[0]:
            self.longest = (took, f"{kind.name} of {type(receiver).__name__}")
        return done


class Beat:
    """A pulse of one millisecond; what it misses are the gaps.

    `own` counts only the time this thread was at work itself: what other programs take of the machine is left
    out of it.
    """

    def __init__(self, app: Watched) -> None:
        self._app = app
        self.gaps: list[float] = []
        self.own: list[float] = []
        self._timer = QTimer()
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self._tick)

    def start(self) -> None:
        self._app.longest = (0.0, "")
        self._app.frames.clear()
        self._last = (time.perf_counter(), time.thread_time() - self._app.drew, self._app.drawn)
        self._timer.start(1)

    def stop(self) -> None:
        self._timer.stop()

    def _tick(self) -> None:
        now = (time.perf_counter(), time.thread_time() - self._app.drew, self._app.drawn)
        wall, own, drawn = (after - before for after, before in zip(now, self._last, strict=True))
        self._last = now
        self.gaps.append(wall - drawn)
        self.own.append(own)


def main() -> None:
    """Print the figures."""
    asked = argparse.ArgumentParser(description="Time the window at work.")
    asked.add_argument("triangles", nargs="?", type=int, default=TRIANGLES)
    asked.add_argument("--show", action="store_true", help="open an empty window, print its CPU seconds, end")
    arguments = asked.parse_args()
    if arguments.show:
        _show()
        return
    shown = [float(_run("--show")) for _ in range(3)]
    print(f"window visible after {statistics.median(shown):.2f} s CPU (goal under 2)", flush=True)
    app = Watched(sys.argv[:1])
    style.apply(app, "light")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "rough.obj"
        write_sculpt(path, rough_sculpt(arguments.triangles))
        window = _opened(Path(folder))
        window.show()
        _wait(app, lambda: window.viewport.isVisible() or window.welcome_page.isVisible())
        _rest(app, 2.0)  # as long as nobody has chosen a file; the geometry process has begun by then
        _import(app, window, path)
        _edit(app, window)
        _move_bore(app, window, path)
        window.opening.may_leave = lambda *_verb: True  # type: ignore[method-assign]  nobody is there to ask
        window.close()


def _import(app: Watched, window: MainWindow, path: Path) -> None:
    beat = Beat(app)
    beat.start()
    start = time.perf_counter()
    window.opening.open_path(path)
    _wait(app, lambda: not window.document.busy)
    took = time.perf_counter() - start
    _rest(app, 1.0)
    beat.stop()
    gaps, own = sorted(beat.gaps), sorted(beat.own)
    print(
        f"import to split of {path.stat().st_size / 1e6:.0f} MB in {took:.1f} s: longest gap beside frames "
        f"{1000 * gaps[-1]:.0f} ms ({1000 * own[-1]:.0f} ms at work itself; goal under 50), then "
        f"{', '.join(f'{1000 * gap:.0f}' for gap in gaps[-2:-6:-1])}; longest frame "
        f"{1000 * max(app.frames):.0f} ms; held up longest by {app.longest[1]}, "
        f"{1000 * app.longest[0]:.0f} ms",
        flush=True,
    )


def _move_bore(app: Watched, window: MainWindow, path: Path) -> None:
    """Move the bore by hand's steps; set the times until what comes is on screen beside bare cuts.

    While the bore is dragged its own step is looked at; shell and core follow the screws and the relief.
    """
    document = window.document
    bored = next(step for step in document.recipe.steps if step.operation == "cut_bore")
    last = document.recipe.steps[-1].id
    made = replay(document.recipe, read_sculpt(path), catalogue=load_catalogue())
    at = next(number for number, result in enumerate(made.results) if result.id == bored.id)
    whole, bore = made.results[at - 1].hold.whole, made.hold.find(Bore)[0]
    moves = 0
    for step_id, what, bare in (
        (bored.id, "the bored hold", lambda: bare_bore(whole, made.hold)),
        (last, "shell and core", lambda: bare_bore_and_split(whole, made.hold)),
    ):
        document.edits.select(step_id)
        _rest(app, 1.0)
        times, bares, frames = [], [], []
        for _ in range(MOVES):
            moves += 1
            app.frames.clear()
            place = (bore.x + 0.1 * moves, bore.y)
            edit = partial(document.edits.edit, bored.id, {"place": "at", "at": place})
            times.append(_until_shown(app, window, step_id, edit))
            _wait(app, lambda: not document.busy)
            _rest(app, 0.3)
            frames.append(max(app.frames, default=0.0))
            bares.append(timed(bare)[1])
        ratio = statistics.median(one / other for one, other in zip(times, bares, strict=True))
        print(
            f"bore moved at {whole.triangle_count} triangles: {what} given to the view after "
            f"{1000 * statistics.median(times):.0f} ms, {ratio:.2f} times the bare calls "
            f"({1000 * statistics.median(bares):.0f} ms; goal 1.3 and one frame, which took "
            f"{1000 * statistics.median(frames):.0f} ms)",
            flush=True,
        )
    _tell_steps(document)


def _until_shown(app: Watched, window: MainWindow, step_id: str, edit: Callable[[], object]) -> float:
    """Do an edit and give the seconds until a step's result of it has come."""
    shown: list[float] = []

    def hear(come: str) -> None:
        if come == step_id and window.document.is_current(step_id):
            shown.append(time.perf_counter())

    window.document.step_shown.connect(hear)
    start = time.perf_counter()
    edit()
    _wait(app, lambda: bool(shown))
    window.document.step_shown.disconnect(hear)
    return shown[0] - start


def _tell_steps(document: Document) -> None:
    """Say what the last move's time went to in the geometry process."""
    steps = [document.step(step.id) for step in document.recipe.steps]
    made = [f"{each.operation} {1000 * each.seconds:.0f}" for each in steps if each and not each.cached]
    print(f"  of which in ms: {', '.join(made)}", flush=True)


def _edit(app: Watched, window: MainWindow) -> None:
    document = window.document
    child = document.supervisor.pid
    before = (_resident(os.getpid()), _resident(child))
    bored = next(step for step in document.recipe.steps if step.operation == "cut_bore")
    for number in range(EDITS // 2):
        document.edits.edit(bored.id, {"under_seat": 10.0 + 0.05 * number})
        _wait(app, lambda: not document.busy)
    for _ in range(EDITS // 2):
        document.edits.undo()
        _wait(app, lambda: not document.busy)
    _rest(app, 1.5)  # the geometry process tidies up when it rests
    after = (_resident(os.getpid()), _resident(child))
    print(
        f"memory after {EDITS} edits and undos: window {before[0]:.2f} -> {after[0]:.2f} GB, geometry "
        f"{before[1]:.2f} -> {after[1]:.2f} GB; surfaces kept {document._kept.nbytes / 1e9:.2f} GB",
        flush=True,
    )


def _show() -> None:
    """Open the window as a user does, and print the CPU seconds until its first frame was drawn."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ.update({f"XDG_{kind}_HOME": folder for kind in ("CONFIG", "DATA", "CACHE")})
        looking = f"""
import resource, sys
sys.path.insert(0, {str(ROOT / "app")!r})
from PySide6.QtCore import QEvent, QTimer
from PySide6.QtWidgets import QApplication

class Watched(QApplication):
    def notify(self, receiver, event):
        done = super().notify(receiver, event)
        if event.type() == QEvent.Type.Paint:
            used = resource.getrusage(resource.RUSAGE_SELF)
            print(used.ru_utime + used.ru_stime, flush=True)
            QTimer.singleShot(0, lambda: __import__("os")._exit(0))
        return done

app = Watched(sys.argv[:1])
from holdwright.entry import begin
begin([])
"""
        command = [sys.executable, "-c", looking]
        print(subprocess.run(command, capture_output=True, text=True).stdout.split()[0])


def _opened(folder: Path) -> MainWindow:
    settings = QSettings(str(folder / "settings.ini"), QSettings.Format.IniFormat)
    return build_window(settings, folder / "kept", "light", warm=True)


def _run(*arguments: str) -> str:
    command = [sys.executable, __file__, *arguments]
    # As an installed program: compiled once.
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return subprocess.run(command, check=True, capture_output=True, text=True, env=kept).stdout


def _wait(app: QApplication, until: Callable[[], bool]) -> None:
    while not until():
        app.processEvents(QEventLoop.ProcessEventsFlag.WaitForMoreEvents)


def _rest(app: QApplication, seconds: float) -> None:
    end = time.perf_counter() + seconds
    ticking = QTimer()
    ticking.start(5)
    _wait(app, lambda: time.perf_counter() > end)


def _resident(pid: int) -> float:
    """Give the memory a process has at present, GB; 0 where the system does not tell so simply."""
    status = Path(f"/proc/{pid}/status")
    if not status.is_file():
        return 0.0
    line = next((each for each in status.read_text().splitlines() if each.startswith("VmRSS")), "VmRSS: 0 kB")
    return int(line.split()[1]) * 1024 / 1e9


if __name__ == "__main__":
    main()
