"""A supervisor without a geometry process: it takes note of tasks, and gives the answers a test puts in."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from holdwright.gui.document.document import Document
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.hold.finding import Finding
from holdwright.hold.hold_measures import HoldMeasures
from holdwright.pipeline.geometry_process.messages import Task
from holdwright.pipeline.recipes.history import History
from holdwright.pipeline.recipes.recipe import Source
from holdwright.pipeline.views.display_results import ShownSculpt, ShownSolid, ShownStep, Surface
from holdwright.session import Session
from recipes import plain_starter


class QuietRunner(GeometrySupervisor):
    """A supervisor to its document, without a process behind it."""

    def __init__(self) -> None:
        super().__init__(Path())
        self.jobs: list[Task] = []
        self.working = False
        self.stops = 0

    @property
    def busy(self) -> bool:
        return self.working

    def _put(self, task: Task) -> None:
        self.jobs.append(task)
        if not self.working:
            self.working = True
            self.busy_changed.emit(True)

    def stop(self, *_numbers: int) -> None:
        self.stops += 1

    def close(self) -> None:
        self.working = False

    # What a test puts in

    def read(self, *names: str) -> None:
        """Answer with the sculpt's pieces."""
        pieces = tuple((name, triangle()) for name in names)
        self.sent.emit(len(self.jobs), ShownSculpt(pieces, "digest", ()))

    def give(self, document, step_id: str, result: str = "", **values) -> None:
        """Answer the latest job with what one step gave."""
        step = document.recipe.step(step_id)
        shown = ShownStep(
            step.id, step.operation, step.operation, f"key-{len(self.jobs)}-{step_id}", **values
        )
        self.sent.emit(len(self.jobs), replace(shown, enabled=step.enabled, result=result))

    def finish(self, failed: str = "", *, stopped: bool = False) -> None:
        """End the latest job."""
        self.ended.emit(len(self.jobs), None, failed, stopped)
        self.working = False
        self.busy_changed.emit(False)


@pytest.fixture
def runner(qapp):
    """A quiet runner."""
    return QuietRunner()


@pytest.fixture
def document(runner, data_folder):
    """The starter recipe on a sculpt that nobody reads, no step chosen."""
    made = Document(runner, data_folder)
    recipe = plain_starter().with_source(Source(str(Path("hall-jug.obj").absolute())))
    made.open_session(Session(History.of(recipe)))
    made.edits.select("")
    yield made
    made.close()


def triangle() -> Surface:
    """The least surface there is."""
    return Surface(np.eye(3, dtype=np.float32), np.array([[0, 1, 2]], dtype=np.int32))


def solid(volume_mm3: float) -> ShownSolid:
    """A solid of which only the volume matters."""
    return ShownSolid(triangle(), None, volume_mm3, 1.0)


def measures(x: float, y: float, z: float, volume_mm3: float) -> HoldMeasures:
    """Measures of a hold of that size."""
    return HoldMeasures(volume_mm3, ((0.0, 0.0, 0.0), (x, y, z)))


def thin_wall(severity: str = "warning") -> Finding:
    """A finding with a place."""
    return Finding(
        "thin_wall_at_bore",
        severity,
        "The wall round the clearance hole is only 3.1 mm; 8 mm are wanted.",
        measured=3.1,
        limit=8.0,
        unit="mm",
        where=(1.0, 2.0, 3.0),
        advice="Move the bore away from that side.",
    )


def note() -> Finding:
    """A finding that is only worth knowing."""
    return Finding("core_narrowed", "note", "The core is 42.1 mm across at the wall in place of 60.0 mm.")
