"""The bar over the view: rows for what is on, planes that cut where they say."""

from typing import get_args

import numpy as np
import pytest
from PySide6.QtCore import Qt

from holdwright.gui.bars.section_controls import section_axes
from holdwright.gui.bars.view_bar import LIMIT_MM, Row, ViewBar
from holdwright.hold.feature import Bore
from holdwright.hold.hold_measures import HoldMeasures
from holdwright.pipeline.views.display_results import ShownStep
from quiet_runner import solid

LEFT = Qt.MouseButton.LeftButton
TILT = np.radians(10.0)
AXIS = (float(np.sin(TILT)), 0.0, float(np.cos(TILT)))


def step(*features, parts=("shell", "core")) -> ShownStep:
    solids = {name: solid(1000.0) for name in parts}
    measures = HoldMeasures(1000.0, ((-60.0, -50.0, 0.0), (60.0, 40.0, 45.0)))
    return ShownStep("s6", "cut_bore", "Cut bore", "k", features=features, measures=measures, solids=solids)


def bore(axis=(0.0, 0.0, 1.0)) -> Bore:
    return Bore(5.0, -4.0, axis, 10.5, 26.0, 15.0, 15.0, "M10", None)


@pytest.fixture
def bar(shown):
    made = ViewBar()
    made.show_step(step(bore()))
    for name in get_args(Row):
        made.set_on(name, True)
    return shown(made, 900, 160)


def test_planes_hold_the_axis_of_the_bore():
    axes = section_axes(step(bore(AXIS)))
    for way in ("along", "across"):
        assert axes[way].normal @ AXIS == pytest.approx(0.0, abs=1e-12)
        assert (axes[way].origin - [5.0, -4.0, 0.0]) @ axes[way].normal == pytest.approx(0.0, abs=1e-12)
        assert axes[way].start == 0.0
    assert axes["along"].normal[0] > 0.9
    assert axes["across"].normal == pytest.approx([0, 1, 0])
    assert axes["level"].normal == pytest.approx([0, 0, 1])
    assert (axes["level"].low, axes["level"].high, axes["level"].start) == (0.0, 45.0, 22.5)


def test_planes_go_through_the_middle_before_there_is_a_bore():
    axes = section_axes(step())
    assert axes["along"].at(axes["along"].start)[0] == pytest.approx(0.0)
    assert axes["across"].at(axes["across"].start)[1] == pytest.approx(-5.0)
    assert section_axes(ShownStep("s1", "import_sculpt", "Import", "k")) == {}


def test_ways_slide_and_halves(qtbot, bar):
    with qtbot.waitSignal(bar.section_changed) as met:
        qtbot.mouseClick(bar.section.words["across"], LEFT)
    origin, normal = met.args
    assert normal == pytest.approx([0, 1, 0])
    bar.section.slider.setFocus()
    with qtbot.waitSignal(bar.section_changed) as met:
        qtbot.keyClick(bar.section.slider, Qt.Key.Key_Right)
    assert met.args[0] - origin == pytest.approx([0, 0.5, 0])
    with qtbot.waitSignal(bar.section_changed) as met:
        qtbot.mouseClick(bar.section.other_button, LEFT)
    assert met.args[1] == pytest.approx([0, -1, 0])


def test_an_offset_is_typed(qtbot, bar):
    edit = bar.section.offset_box
    edit.setFocus()
    edit.selectAll()
    qtbot.keyClicks(edit, "12.5")
    with qtbot.waitSignal(bar.section_changed) as met:
        qtbot.keyClick(edit, Qt.Key.Key_Return)
    assert met.args[0] == pytest.approx([17.5, -4, 0])
    assert bar.section.slider.value() == 125
    edit.selectAll()
    qtbot.keyClicks(edit, "900")
    qtbot.keyClick(edit, Qt.Key.Key_Return)
    assert bar.section.offset == 55.0


def test_the_cut_follows_the_hold_and_ends_with_its_row(qtbot, bar):
    with qtbot.waitSignal(bar.section_changed) as met:
        bar.show_step(step(Bore(20.0, 0.0, (0.0, 0.0, 1.0), 10.5, 26.0, 15.0, 15.0, "M10", None)))
    assert met.args[0] == pytest.approx([20, 0, 0])
    with qtbot.waitSignal(bar.section_changed) as met:
        bar.set_on("section", False)
    assert met.args == [None, None]
    assert bar.on == {"raw", "parts", "heat", "measure"}


def test_parts_and_apart(qtbot, bar):
    with qtbot.waitSignal(bar.parts_changed) as met:
        qtbot.mouseClick(bar.part_words["Core"], LEFT)
    assert met.args[0] == {"core"}
    bar.apart_slider.setFocus()
    with qtbot.waitSignal(bar.apart_changed) as moved:
        qtbot.keyClick(bar.apart_slider, Qt.Key.Key_End)
    assert moved.args == [1.0]
    bar.show_step(step(parts=("whole",)))
    assert "parts" not in bar.on


def test_the_wall_wanted_is_typed_in_either_unit(qtbot, bar):
    bar.set_unit("inch")
    box = bar.limit_box
    assert box.lineEdit().text() == f"{LIMIT_MM / 25.4:.3f} in"
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, "8 mm")
    with qtbot.waitSignal(bar.heat_limit_changed) as met:
        qtbot.keyClick(box, Qt.Key.Key_Return)
    assert met.args == [8.0]
    assert bar.heat_limit == 8.0


def test_figures_are_said(bar):
    bar.show_thinnest("shell", 3.456)
    assert bar._thinnest.text() == "Thinnest 3.5 mm in the shell, edges included"
    bar.show_thinnest("whole", 3.0)
    assert bar._thinnest.text() == "Thinnest 3.0 mm, edges included"
    bar.show_measured([34.251])
    assert bar._distance.text() == "34.3 mm"
    bar.show_measured([34.251, 20.0], 88.04)
    assert bar._distance.text() == "34.3 mm, 20.0 mm, 88.0° between"
    bar.show_measured([])
    assert "two points" in bar._distance.text()
    assert not bar._clear.isVisible()


def test_without_rows_it_is_not_there(bar):
    for name in get_args(Row):
        bar.set_on(name, False)
    assert not bar.isVisible()
