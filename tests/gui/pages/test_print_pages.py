"""The group "To print" by mouse: page after page, each with the figures of the hold as it is."""

from functools import reduce
from itertools import pairwise

import numpy as np
import pytest
import trimesh
from shapely import Polygon

from holdwright.gui.document.strength_work import NOT_RUN
from holdwright.gui.pages.print.area_graph import round_ticks
from holdwright.gui.pages.print.layers_page import layer_rows
from holdwright.resources import sample_folder
from whole_window import LEFT, WAIT, open_window, opened_on, window

__all__ = ["open_window", "window"]

ORDER = ["settings", "checks", "strength", "layers", "estimate", "export"]


@pytest.fixture(scope="module")
def print_rest() -> int:
    """Here it is waited for."""
    return 100


@pytest.fixture
def estimated(qtbot, window):
    """A window on a sample, its print computed."""
    opened_on(qtbot, window, sample_folder() / "hall-crimp.obj")
    qtbot.waitUntil(lambda: window.check_work.is_current and window.print_work.is_current, timeout=WAIT)
    return window


def figure(table, row: str, column: int) -> str:
    return next(each for each in table.rows if each.name == row).cells[column][0]


def test_pages_follow_each_other_and_show_the_layers_and_the_estimate(qtbot, estimated):
    group, pages = estimated.sidebar.to_print, estimated.print_pages
    assert list(group.rows) == ORDER
    qtbot.mouseClick(group.headline, LEFT)
    qtbot.mouseClick(group.rows["settings"], LEFT)
    for here, there in pairwise(ORDER):
        assert estimated.left.currentWidget() is pages[here]
        assert pages[here].sentence.text() == (NOT_RUN if here == "strength" else ""), here
        qtbot.mouseClick(pages[here].next_button, LEFT)
        if there == "layers":
            _looks_at_a_layer(qtbot, estimated)
    assert estimated.left.currentWidget() is estimated.export_page
    group.page_requested.emit("estimate")
    shell, core, both = (int(figure(pages["estimate"].table, "Mass", column)) for column in range(3))
    assert both == shell + core
    assert f"{both} g" in group.rows["estimate"].state.result == pages["estimate"].total.text()
    assert any(
        fact.startswith("both") and fact.endswith(f", {both} g") for fact in estimated.measure_bar.facts
    )

    before = estimated.document.recipe
    estimated.document.edits.edit("print", {"shell_infill": 80.0})
    assert pages["estimate"].table.stale, "the old figures stay, fainter"
    qtbot.waitUntil(lambda: estimated.print_work.is_current, timeout=WAIT)
    assert int(figure(pages["estimate"].table, "Mass", 0)) > shell
    # To add up to the sum, as written, a part that stays may be written one more or less.
    assert int(figure(pages["estimate"].table, "Mass", 1)) == pytest.approx(core, abs=1)
    estimated.document.edits.undo()
    assert estimated.document.recipe == before
    qtbot.waitUntil(lambda: estimated.print_work.is_current, timeout=WAIT)
    assert int(figure(pages["estimate"].table, "Mass", 0)) == shell

    estimated.document.edits.edit("print", {"layer_height": 0.9})
    qtbot.waitUntil(lambda: "Layers of 0.9 mm" in estimated.print_work.sentence, timeout=WAIT)
    assert "Layers of 0.9 mm" in pages["estimate"].sentence.text()
    group.page_requested.emit("settings")
    assert "Layers of 0.9 mm were asked for from a nozzle of 1 mm" in pages["settings"].problem.text()
    assert not estimated.print_work.is_current


def _looks_at_a_layer(qtbot, window) -> None:
    """Passes, solid and infill of a layer make up the area that trimesh and shapely cut at its middle."""
    page, view = window.print_pages["layers"], window.print_work.view
    number = len(view.heights) // 4
    page.slider.setValue(number)
    qtbot.waitUntil(lambda: window.print_work.layer(number) is not None, timeout=WAIT)
    assert f"Layer {number + 1} of {len(view.heights)}" in page.title.text()
    step = window.document.step(window.document.recipe.steps[-1].id)
    for part, solid in step.solids.items():
        mesh = trimesh.Trimesh(*(np.asarray(each) for each in vars(solid.surface).values()))
        cut = mesh.section(plane_origin=[0, 0, float(view.heights[number])], plane_normal=[0, 0, 1])
        loops = [Polygon(loop[:, :2]) for loop in cut.discrete]
        area = reduce(Polygon.symmetric_difference, loops).area
        mine = sum(float(getattr(view.figures[part], kind)[number]) for kind in ("band", "solid", "infill"))
        assert mine == pytest.approx(area, rel=0.01)
    rows = layer_rows(view, number, "mm")
    assert [row.name for row in rows] == ["Passes", "Solid", "Infill", "Time"]
    picture = page.drawing.grab().toImage()
    assert len({picture.pixel(x, y) for x in range(0, picture.width(), 3) for y in range(0, 200, 3)}) > 4
    page.graph.chosen.emit(len(view.heights) - 1)
    assert page.slider.value() == len(view.heights) - 1


@pytest.mark.parametrize(
    ("low", "high", "most", "ticks"),
    [
        (0.0, 60.0, 6, [0, 20, 40, 60]),
        (0.0, 61.1, 6, [0, 20, 40, 60]),
        (0.0, 0.3, 3, [0.0, 0.2]),
        (3.0, 3.5, 6, None),
    ],
)
def test_axes_have_round_figures(low, high, most, ticks):
    found = round_ticks(low, high, most)
    assert len(found) <= most
    assert all(low - 1e-9 <= each <= high + 1e-9 for each in found)
    assert ticks is None or found == pytest.approx(ticks)
