"""The plane of section, dragged in the view."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt

from holdwright.gui.bars.section_controls import SectionRow
from holdwright.gui.handles.section_plane import SectionPlane


@pytest.fixture
def row(qtbot, pointer):
    """The row of the section over that view, cutting it along the bore."""
    made = SectionRow()
    qtbot.addWidget(made)
    step = pointer.document.recipe.steps[-2]
    assert step.operation == "cut_bore"
    made.show_step(pointer.document.step(step.id))
    made.changed.connect(
        lambda point, normal: (
            pointer.view.clear_section() if point is None else pointer.view.set_section(point, normal)
        )
    )
    pointer.view.set_fixture(SectionPlane(made.slide_to))
    pointer.take("cut_bore", "front")
    made.set_on(on=True)
    yield made
    made.set_on(on=False)


def test_rim_dragged_along_its_normal_takes_slider_and_figure_along(pointer, row, edits):
    before, plane = edits(), pointer.view.fixture
    start = pointer.pixel(plane.grips[0].points[1] * 0.9 + plane.grips[0].points[2] * 0.1)
    mm_per_pixel = pointer.view.lens.mm_per_pixel(plane.grips[0].points[1])
    pointer.drag(start, start + QPoint(40, 0))
    assert row.offset == pytest.approx(40 * mm_per_pixel, abs=1.0)
    assert row.slider.value() == round(row.offset * 10)
    assert row.offset_box.text().startswith(f"{row.offset:g}")
    origin, normal = pointer.view.section
    assert abs(origin[0] - row.offset - plane._began[0]) < 1e-6
    assert edits() == before, "what is seen is no part of the recipe"
    assert normal[0] > 0.9


def test_the_pointer_tells_and_escape_puts_back(pointer, row):
    from PySide6.QtTest import QTest

    spot = pointer.pixel(pointer.view.fixture.grips[1].points[0])
    pointer.point(QPoint(3, 3))
    pointer.point(spot)
    pointer.qtbot.waitUntil(lambda: pointer.view.cursor().shape() == Qt.CursorShape.OpenHandCursor)
    pointer.drag(spot, spot + QPoint(30, 0), let_go=False)
    assert row.offset > 1.0
    QTest.keyClick(pointer.canvas, Qt.Key.Key_Escape)
    assert row.offset == pytest.approx(0.0)
    pointer.release(spot + QPoint(30, 0))
    pointer.point(QPoint(3, 3))
    pointer.qtbot.waitUntil(lambda: pointer.view.cursor().shape() == Qt.CursorShape.ArrowCursor)


def test_the_steps_own_tool_goes_on_beside_it(pointer, row, edits):
    handles, before = pointer.view.tool.handles, edits()
    start = pointer.pixel(pointer.grip(handles.grips()[0].name))
    pointer.point(start)
    # The section's rim, seen edge on, leaves the handle alone.
    pointer.qtbot.waitUntil(lambda: handles.hot != "")
    pointer.drag(start, start + QPoint(12, 0))
    assert edits() == before + 1
    assert row.offset == pytest.approx(0.0)


def test_seen_from_its_end_up_is_toward_the_eye(pointer, row):
    pointer.view.set_view("right")
    spot = pointer.pixel(pointer.view.fixture.grips[1].points[0])
    pointer.drag(spot, spot - QPoint(0, 20))
    toward = float(np.sign(pointer.view.pose.frame[2] @ pointer.view.section[1]))
    assert toward * row.offset > 1.0
    row.set_on(on=False)
    assert pointer.view.fixture.grips == ()
    assert not any(name.startswith("section/") for name in pointer.ghosts())
