"""What brings down the work on a sculpt does not bring down the command."""

import argparse
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import holdwright
from holdwright.cli import child_supervisor as contained
from holdwright.cli import inspection, running
from holdwright.cli.main import main
from holdwright.files.reading import read_sculpt
from holdwright.progress import SILENT, Progress

SOURCE = Path(holdwright.__file__).parent.parent
READERS = [f"holdwright.cli.{name}.read_sculpt" for name in ("replaying", "replay_command", "inspection")]
Break = Callable[[Callable[[], object]], None]


@pytest.fixture
def broken(monkeypatch: pytest.MonkeyPatch) -> Break:
    """Have the reader do something else with every sculpt named "jug"."""

    def breaking(step: Callable[[], object]) -> None:
        def reading(path: Path, *rest: Any) -> Any:
            return step() if path.stem == "jug" else read_sculpt(path, *rest)

        for name in READERS:
            monkeypatch.setattr(name, reading)

    monkeypatch.setattr("holdwright.pipeline.geometry_process.child.PATIENCE", 0.3)
    return breaking


def die() -> None:
    os.abort()


def loop() -> None:
    while True:
        pass


def loop_deaf() -> None:
    """As native code does, that never comes back to hear of a signal."""
    signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGTERM, signal.SIGINT})
    loop()


def commands(recipe: Path, sculpt: Path) -> list[list[str]]:
    return [
        ["inspect", str(sculpt)],
        ["check", str(recipe), str(sculpt)],
        ["joint", str(recipe), str(sculpt)],
        ["replay", str(recipe), str(sculpt), "--out", str(sculpt.parent / "out")],
    ]


@pytest.mark.parametrize("which", range(4))
def test_a_crash_is_one_sentence(
    broken: Break, recipe: Path, sculpt: Path, which: int, capfd: pytest.CaptureFixture[str]
) -> None:
    broken(die)
    assert main(commands(recipe, sculpt)[which]) == 70
    told = capfd.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    assert "SIGABRT" in told.err
    assert not (sculpt.parent / "out").exists()


@pytest.mark.parametrize("step", [loop, loop_deaf])
def test_an_endless_loop_meets_its_limit(
    broken: Break, recipe: Path, sculpt: Path, step: Callable[[], None], capfd: pytest.CaptureFixture[str]
) -> None:
    broken(step)
    started = time.monotonic()
    assert main([*commands(recipe, sculpt)[1], "--time", "0.5"]) == 4
    assert time.monotonic() - started < 20
    told = capfd.readouterr()
    assert (told.out, told.err.count("\n")) == ("", 1)
    assert "more than 0.5 s" in told.err


def test_the_other_sculpts_go_on(
    broken: Break, recipe: Path, sculpt: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    broken(die)
    sound = sculpt.with_name("pinch.stl")
    sound.write_bytes(sculpt.read_bytes())
    out = sculpt.parent / "out"
    words = ["replay", recipe, sound, sculpt, sound, "--out", out]
    assert main([str(word) for word in words]) == 70
    assert sorted(path.name for path in out.glob("*.stl")) == ["pinch-2-whole.stl", "pinch-whole.stl"]
    assert str(sculpt) in capfd.readouterr().err


def test_too_little_memory(
    broken: Break,
    recipe: Path,
    sculpt: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    if not sys.platform.startswith("linux"):
        pytest.skip("only Linux holds a process to so much memory")
    broken(lambda: bytearray(64 << 30))
    monkeypatch.setattr("holdwright.pipeline.geometry_process.child_loop.memory_limit", lambda: 16 << 30)
    assert main(commands(recipe, sculpt)[1]) == 4
    assert "not enough memory" in capfd.readouterr().err


def test_killed_from_outside(
    broken: Break, recipe: Path, sculpt: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """The system does so when memory runs out."""
    broken(lambda: os.kill(os.getpid(), signal.SIGKILL))
    assert main(commands(recipe, sculpt)[1]) == 4
    assert "want of memory" in capfd.readouterr().err


def test_json_of_what_crashed(broken: Break, sculpt: Path, capfd: pytest.CaptureFixture[str]) -> None:
    broken(die)
    assert main(["inspect", str(sculpt), "--json"]) == 70
    told = json.loads(capfd.readouterr().out)
    assert (told["verdict"], len(told["reasons"])) == ("refused", 1)
    refused = inspection.plain(inspection.inspect(sculpt.with_name("none.stl"), SILENT))
    assert set(told) == set(refused) == set(running.NOTHING)


def test_a_system_that_cannot_fork(
    sculpt: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delattr(os, "fork")
    assert main(["inspect", str(sculpt)]) == 0
    assert "jug.stl: sound (STL)" in capfd.readouterr().out


@pytest.mark.parametrize(
    ("asked", "code"), [(signal.SIGTERM, 130), (signal.SIGINT, 130), (signal.SIGKILL, -signal.SIGKILL)]
)
def test_the_work_ends_with_the_command(sculpt: Path, asked: signal.Signals, code: int) -> None:
    """The work keeps the stream open for as long as it lives; at the end of the stream it is gone."""
    program = (
        "import os, signal, sys\n"
        "from holdwright.cli import inspection\n"
        "from holdwright.cli.main import main\n"
        # Heard also where the tests run behind a shell's &, which has it ignored.
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "def loop(*_):\n"
        "    os.write(1, b'at work\\n')\n"
        "    while True: pass\n"
        "inspection.read_sculpt = loop\n"
        "sys.exit(main(['inspect', sys.argv[1]]))\n"
    )
    words = [sys.executable, "-c", program, str(sculpt)]
    with subprocess.Popen(words, cwd=SOURCE, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        assert running.stdout.readline() == b"at work\n"
        running.send_signal(asked)
        assert running.stdout.read() == b""
        told = running.stderr.read()
    assert running.returncode == code
    assert b"Traceback" not in told


@pytest.mark.parametrize("seconds", ["0", "-1", "nan", "inf", "soon"])
def test_a_time_that_is_none(sculpt: Path, seconds: str, capfd: pytest.CaptureFixture[str]) -> None:
    assert main(["inspect", str(sculpt), "--time", seconds]) == 2
    assert "--time" in capfd.readouterr().err


def test_progress_comes_over(sculpt: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("holdwright.pipeline.geometry_process.child_loop.REPORT_EVERY", 0.0)
    reports: list[tuple[float, str]] = []
    asked = argparse.Namespace(sculpt=sculpt, json=False)
    with contained.contained("inspect", asked) as child:
        child.do(0, Progress(lambda *report: reports.append(report)), 60.0)
    assert {text.split()[0] for _, text in reports} >= {"reading", "fusing"}
    assert [fraction for fraction, _ in reports] == sorted(fraction for fraction, _ in reports)
