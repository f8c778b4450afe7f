"""What a click on a finding, and the pointer on its flag, show in the view."""

from dataclasses import replace

import numpy as np
import pytest
from manifold3d import Manifold
from PySide6.QtCore import QPoint, Qt

from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import new_finding
from holdwright.pipeline.views.display_results import shown_solid
from quiet_runner import document, runner, thin_wall
from shapes import block, ring, sphere

__all__ = ["document", "runner"]

LEFT = Qt.MouseButton.LeftButton
NONE = Qt.KeyboardModifier.NoModifier


@pytest.fixture
def stage(document, view):
    """Shows what the document's steps gave, without tools."""
    from holdwright.gui.handles.step_presenter import StepPresenter

    made = StepPresenter(document, view, lambda _operation, _step_id: None)
    view.marker_clicked.connect(made.choose_marker)
    return made


def give(runner, document, step_id: str, solids, *findings: Finding) -> None:
    shown = {name: shown_solid(each) for name, each in solids.items()}
    runner.give(document, step_id, "done", solids=shown, sized=True, findings=findings)
    document.edits.select(step_id)


def flag(view, number: int = 0) -> QPoint:
    """Give the middle of a flag's cloth."""
    x, y, _ = view._flags._feet(view.lens)[number]
    return QPoint(round(x + 10), round(y - 22))


def inside(where=(0.0, 0.0, 0.0)) -> Finding:
    return replace(thin_wall(), where=where)


def test_a_place_inside_shows_through_the_hold_until_a_click(qtbot, view, stage, runner, document):
    give(runner, document, "s6", {"whole": sphere(50.0, 64)}, inside())
    qtbot.mouseClick(view.focusProxy(), LEFT, NONE, flag(view))
    assert view.scene.seen_through
    assert not view._projection.hides(np.zeros(3)), "and its flag is drawn in full"
    start = QPoint(40, 40)
    qtbot.mousePress(view.focusProxy(), LEFT, NONE, start)
    qtbot.mouseMove(view.focusProxy(), start + QPoint(60, 0))
    qtbot.mouseRelease(view.focusProxy(), LEFT, NONE, start + QPoint(60, 0))
    assert view.scene.seen_through, "the view may be turned meanwhile"
    qtbot.mouseClick(view.focusProxy(), LEFT, NONE, start)
    assert not view.scene.seen_through


def test_a_place_on_the_surface_leaves_the_hold_solid(qtbot, view, stage, runner, document):
    give(runner, document, "s6", {"whole": sphere(50.0, 64)}, inside((0.0, 0.0, -50.0)))
    stage.go_to("s6", inside((0.0, 0.0, -50.0)))
    assert not view.scene.seen_through


def test_where_the_hold_is_cut_open_the_cut_goes_there(qtbot, view, stage, runner, document):
    give(runner, document, "s6", {"whole": sphere(50.0, 64)}, inside((0.0, 0.0, 20.0)))
    view.set_section((0, 0, 0), (0, 0, 1))
    stage.cut_requested.connect(lambda place: view.set_section(place, (0, 0, 1)))
    stage.go_to("s6", inside((0.0, 0.0, 20.0)))
    assert view.section[0][2] == pytest.approx(20.0)
    assert not view.scene.seen_through


def test_a_flag_says_its_sentence_under_the_pointer(qtbot, view, stage, runner, document, monkeypatch):
    from holdwright.gui.viewport import markers

    written: list[str] = []
    monkeypatch.setattr(markers, "write_on_paper", lambda _painter, _at, text, *_rest: written.append(text))
    give(runner, document, "s6", {"whole": block()}, inside((0.0, 0.0, 40.0)))
    view.grab()
    assert written == []
    qtbot.mouseMove(view.focusProxy(), flag(view))
    view.grab()
    assert written
    assert " ".join(written[-1].split()) == thin_wall().message


def test_a_flag_goes_along_with_its_part(qtbot, view, stage, runner, document):
    parts = {"shell": ring(40.0, 20.0, 20.0), "core": block(20.0, 20.0, 20.0)}
    give(runner, document, "s7", parts, inside((40.0, 0.0, 10.0)), inside((0.0, 0.0, 10.0)))
    view.set_apart(1.0)
    lifted, still = view._flags._places
    assert lifted == pytest.approx([40.0, 0.0, 10.0 + view.scene.parts["shell"].lift[2]])
    assert lifted[2] > 20.0
    assert still == pytest.approx([0.0, 0.0, 10.0])
    x, y, _ = view.lens.project(lifted)[0]
    qtbot.mouseMove(view.focusProxy(), QPoint(round(x + 10), round(y - 22)))
    assert view._flags.hovered == 0


def test_a_dropped_piece_is_a_ghost(qtbot, view, stage, runner, document):
    low = Manifold.cube((100.0, 80.0, 20.0), True).translate((0.0, 0.0, 10.0))
    far = Manifold.cube((20.0, 20.0, 20.0), True).translate((80.0, 0.0, 10.0))
    both, left = (Solid.checked(each, "the block") for each in (low + far, low))
    give(runner, document, "s3", {"whole": both})
    lost = new_finding("piece_dropped", 8000.0, where=(80.0, 0.0, 10.0), pieces="1 piece", cm3=8.0)
    give(runner, document, "s4", {"whole": left}, lost)
    assert "lost/0" in view.overlay.names
    points, triangles = view.overlay._ghosts["lost/0", "mesh"].arrays
    drawn = points[np.unique(triangles)]
    assert drawn.min(axis=0) == pytest.approx([70.0, -10.0, 0.0])
    assert drawn.max(axis=0) == pytest.approx([90.0, 10.0, 20.0])
    stage.go_to("s4", lost)
    assert view._projection.sees(np.array([[-50.0, -40.0, 0.0], [50.0, 40.0, 20.0], [90.0, 10.0, 20.0]]))
    document.edits.select("s3")
    assert "lost/0" not in view.overlay.names


def test_while_nothing_is_there_to_see_the_view_says_what_is_done(stage, view, runner, document):
    document.opened.emit()
    assert view.waiting_text == "Reading hall-jug.obj"
    document.reported.emit(0.1, "taking the sculpt apart, piece 3 of 9")
    assert view.waiting_text == "Taking the sculpt apart, piece 3 of 9"
    runner.finish("The file has no triangles.")
    assert view.waiting_text == ""
