"""One small hold, finished by the starter recipe, and a pointer to work on it in the view."""

from collections.abc import Callable, Iterator

import numpy as np
import pytest
from manifold3d import Manifold

from holdwright.geometry.mesh.solid import Solid
from recipes import FINISHING

SIZE = (640, 480)


def _stump() -> Solid:
    """A stump with a sharp horn: 100 mm across its back, lying as in a sculpting room, back down."""
    stump = Manifold.cylinder(45.0, 50.0, 34.0, 96)
    horn = Manifold.cylinder(40.0, 14.0, 0.0, 64).rotate((0.0, 62.0, 0.0)).translate((18.0, 0.0, 36.0))
    return Solid.checked((stump + horn).rotate((-90.0, 0.0, 0.0)), "the stump")


def _nub() -> Solid:
    """A ball that sits on the stump's side."""
    ball = Manifold.sphere(12.0, 48).translate((-24.0, 20.0, 40.0)).rotate((-90.0, 0.0, 0.0))
    return Solid.checked(ball, "the nub")


def _written(named: dict[str, Solid]) -> str:
    rows, first = [], 1
    for name, solid in named.items():
        rows.append(f"g {name}")
        rows += [f"v {x:.6f} {y:.6f} {z:.6f}" for x, y, z in solid.vertices]
        rows += [f"f {a} {b} {c}" for a, b, c in solid.triangles + first]
        first += len(solid.vertices)
    return "\n".join(rows) + "\n"


class PointerDriver:
    """Moves the pointer over a view, to places in mm of what is shown or to pixels.

    Attributes
    ----------
    document, view
        What it works on.
    """

    def __init__(self, qtbot, document, view) -> None:
        self.qtbot = qtbot
        self.document = document
        self.view = view

    def take(self, operation: str, named_view: str = "front"):
        """Work on the step of an operation, looked at from some side, and give its tool's handles."""
        step = next(step for step in self.document.recipe.steps if step.operation == operation)
        self.document.edits.select("")
        self.document.edits.select(step.id)
        self.view.set_view(named_view)
        return self.view.tool.handles

    def pixel(self, place, off=(0.0, 0.0, 0.0)):
        """Give a place in mm, or one so far off it, as a pixel."""
        from PySide6.QtCore import QPoint

        x, y, _ = self.view.lens.project(np.asarray(place, dtype=float) + off)[0]
        return QPoint(round(x), round(y))

    def point(self, spot) -> None:
        """Move the pointer with no button held."""
        from PySide6.QtTest import QTest

        QTest.mouseMove(self.canvas, spot)

    def press(self, spot, keys=None) -> None:
        """Press the left button."""
        from PySide6.QtCore import Qt
        from PySide6.QtTest import QTest

        QTest.mousePress(self.canvas, Qt.MouseButton.LeftButton, keys or Qt.KeyboardModifier.NoModifier, spot)

    def release(self, spot, keys=None) -> None:
        """Let the left button go."""
        from PySide6.QtCore import Qt
        from PySide6.QtTest import QTest

        QTest.mouseRelease(
            self.canvas, Qt.MouseButton.LeftButton, keys or Qt.KeyboardModifier.NoModifier, spot
        )

    def drag(self, start, stop, *, let_go: bool = True) -> None:
        """Press, move in three steps and let go."""
        self.point(start)
        self.press(start)
        for share in (0.3, 0.7, 1.0):
            self.point(start + (stop - start) * share)
        if let_go:
            self.release(stop)

    def click(self, spot, keys=None) -> None:
        """Press and let go at one spot."""
        self.point(spot)
        self.press(spot, keys)
        self.release(spot, keys)

    def grip(self, name: str, number: int = 0):
        """Give where a grip of the tool in use is found: its first point, in mm."""
        met = [grip for grip in self.view.tool.handles.grips() if grip.name == name]
        return np.asarray(met[number].points).reshape(-1, 3)[0]

    def settled(self) -> None:
        """Wait until nothing is being made."""
        self.qtbot.waitUntil(lambda: not self.document.busy, timeout=60_000)

    def ghosts(self) -> set[str]:
        """Give the names of all that is drawn over the hold."""
        return set(self.view.overlay.names)

    @property
    def canvas(self):
        """The widget that hears of the pointer."""
        return self.view.focusProxy()


class SmallStage:
    """Shows the step worked on and puts its tool in pointer, until it is closed: the document outlives it."""

    def __init__(self, document, view, catalogue) -> None:
        self._document = document
        self._view = view
        self._catalogue = catalogue
        self._key = ""
        document.selected_changed.connect(self._take_up)
        document.step_shown.connect(self._show)

    def close(self) -> None:
        """Hear of the document no longer."""
        self._document.selected_changed.disconnect(self._take_up)
        self._document.step_shown.disconnect(self._show)

    def _take_up(self) -> None:
        from holdwright.gui.handles import tool_for

        if not self._document.selected:
            return
        self._show()
        step = self._document.recipe.step(self._document.selected)
        self._view.set_tool(tool_for(step.operation, step.id, self._document, self._catalogue))

    def _show(self, _step_id: str = "") -> None:
        from holdwright.gui.handles.step_solids import frames_of

        shown = frames_of(self._document, self._document.selected).shown
        if shown is not None and shown.key != self._key:
            self._key = shown.key
            self._view.show_solids(shown.solids, keep_camera=True)


@pytest.fixture(scope="package")
def finished(qapp, tmp_path_factory) -> Iterator:
    """A document with the hold finished; tests leave it as they found it."""
    from PySide6.QtCore import QEventLoop, QTimer

    from holdwright.gui.document.document import Document
    from holdwright.gui.document.geometry_supervisor import GeometrySupervisor

    folder = tmp_path_factory.mktemp("handles")
    sculpt = folder / "stump.obj"
    sculpt.write_text(_written({"stump": _stump(), "nub": _nub()}), "utf-8")
    document = Document(GeometrySupervisor(folder / "results"), folder / "autosave")
    document.start_with_sculpt(sculpt)
    for step in document.recipe.steps:
        if step.operation in FINISHING:
            document.edits.remove_step(step.id)
    loop = QEventLoop()
    document.busy_changed.connect(lambda busy: None if busy else loop.quit())
    QTimer.singleShot(60_000, loop.quit)
    loop.exec()
    assert all(document.is_current(step.id) for step in document.recipe.steps)
    yield document
    document.close()


@pytest.fixture
def pointer(qtbot, finished) -> Iterator[PointerDriver]:
    """A pointer on that hold in a view of its own; what it did is undone at the end."""
    from holdwright.catalogue.catalogue import load_catalogue
    from holdwright.gui.viewport.viewport import Viewport

    view = Viewport()
    view.animated = False
    view.resize(*SIZE)
    with qtbot.waitSignal(view.frame_drawn, timeout=20_000):
        view.show()
    stage = SmallStage(finished, view, load_catalogue())
    began = finished.recipe
    made = PointerDriver(qtbot, finished, view)
    yield made
    while finished.recipe != began and finished.undo_text:
        finished.edits.undo()
    assert finished.recipe == began
    made.settled()
    stage.close()
    view.close_view()
    view.close()
    view.deleteLater()


@pytest.fixture
def edits(finished) -> Callable[[], int]:
    """Gives how many entries the history has."""
    return lambda: len(finished.session.history.past)
