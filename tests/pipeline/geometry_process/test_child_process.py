"""The processes that work runs in: no code from the current folder, and an end with whoever started them."""

import os
import subprocess
import sys
import time
from collections.abc import Iterable
from pathlib import Path

import pytest

import holdwright
from mesh_files import write_obj
from shapes import block

SOURCE = Path(holdwright.__file__).parent.parent
TESTS = Path(__file__).parents[2]
PACKAGES = set(
    "numpy scipy pydantic pydantic_core annotated_types typing_extensions manifold3d trimesh PySide6 "  # noqa: SIM905
    "shiboken6 pyvista vtkmodules pyvistaqt tqdm PIL holdwright sitecustomize usercustomize".split()
)
NAMES = sys.stdlib_module_names | PACKAGES
TRAP = "import os\nos.close(os.open({mark!r}, os.O_CREAT | os.O_WRONLY))\nraise ImportError('a trap')\n"
SPAWNING_COMMAND = """\
import os, sys
del os.fork
from holdwright.entry import begin
if __name__ == "__main__":
    sys.exit(begin())
"""
CHILD = """\
import sys
from pathlib import Path
from holdwright.pipeline.geometry_process.child import Child
from holdwright.pipeline.views.display_results import StepsRequest, show_steps
from holdwright.pipeline.views.geometry_worker import GeometryWorker, RecipeWork
from holdwright.pipeline.geometry_process.messages import Ended, Task
from recipes import new_recipe
from holdwright.pipeline.recipes.recipe_file import recipe_text
if __name__ == "__main__":
    child = Child(GeometryWorker, Path(__file__).parent / "store", name="geometry")
    child.ask(Task(1, RecipeWork(show_steps, recipe_text(new_recipe()), sys.argv[2], StepsRequest())))
    answer = child.answer(60)
    while answer is not None and not (isinstance(answer, Ended) and answer.number == 1):
        answer = child.answer(60)
    child.close()
    sys.exit(answer is None or answer.error is not None)
"""
STARTS = {"command that spawns": SPAWNING_COMMAND, "window": CHILD}
"""A command that forks is tried below, begun as a module."""


@pytest.fixture
def sculpt(tmp_path: Path) -> Path:
    return write_obj(tmp_path / "box.obj", block())


def traps(folder: Path, names: Iterable[str]) -> Path:
    """Lay a module for every name the processes import; each leaves a mark when it is run."""
    folder.mkdir()
    for name in names:
        (folder / f"{name}.py").write_text(TRAP.format(mark=str(folder / f"ran-{name}")))
    return folder


def run_among_traps(words: list[str], folder: Path) -> None:
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONSAFEPATH"}
    environment["PYTHONPATH"] = os.pathsep.join([str(SOURCE), str(TESTS)])
    told = subprocess.run(words, cwd=folder, env=environment, capture_output=True, text=True, check=False)
    assert [path.name for path in folder.glob("ran-*")] == []
    assert told.returncode == 0, told.stderr


@pytest.mark.parametrize("start", STARTS)
def test_no_code_from_the_current_folder(start: str, sculpt: Path, tmp_path: Path) -> None:
    script = tmp_path / "scripts" / "start_here.py"
    script.parent.mkdir()
    script.write_text(STARTS[start])
    run_among_traps(
        [sys.executable, str(script), "inspect", str(sculpt)], traps(tmp_path / "stranger", NAMES)
    )


def test_the_module_run_by_its_name_leaves_the_current_folder_out(sculpt: Path, tmp_path: Path) -> None:
    # The rest of the standard library Python itself imports to find the module, before it is ours to say.
    names = {"json", "argparse", "multiprocessing", "hashlib"} | PACKAGES - {"holdwright"}
    folder = traps(tmp_path / "stranger", names)
    run_among_traps([sys.executable, "-m", "holdwright", "inspect", str(sculpt)], folder)


DEEP_IN_WORK = """\
import os, sys, time
from holdwright.pipeline.geometry_process.child import Child
from holdwright.pipeline.geometry_process.messages import Task
if __name__ == "__mp_main__":
    sys.platform = {system!r}
class Worker:
    def do(self, work, progress, send):
        os.write(1, b"at work\\n")
        {loop}
if __name__ == "__main__":
    child = Child(Worker, name="at work")
    child.ask(Task(1, None))
    time.sleep(60)
"""
LOOPS = {
    "busy": "while True: pass",
    "reporting": "while True: progress.report(0.5, 'at it')",
    "answering": "while True: send('x' * 100)",
}


@pytest.mark.parametrize("loop", LOOPS)
@pytest.mark.parametrize("system", [sys.platform, "elsewhere"])
def test_the_child_of_a_killed_parent_ends_at_once_and_without_a_word(
    loop: str, system: str, tmp_path: Path
) -> None:
    """Elsewhere than under Linux no signal tells it of its parent's end."""
    script = tmp_path / "start_here.py"
    script.write_text(DEEP_IN_WORK.format(system=system, loop=LOOPS[loop]))
    environment = {**os.environ, "PYTHONPATH": str(SOURCE)}
    with subprocess.Popen(
        [sys.executable, str(script)], env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as parent:
        assert parent.stdout is not None
        assert parent.stderr is not None
        assert parent.stdout.readline() == b"at work\n", parent.stderr.read()
        parent.kill()
        killed_at = time.monotonic()
        # Who still lives holds the stream open.
        assert parent.stdout.read() == b""
        seconds = time.monotonic() - killed_at
        told = parent.stderr.read()
    assert seconds < 2.0
    assert told == b""
