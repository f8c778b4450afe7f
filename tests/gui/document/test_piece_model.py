"""The sculpt's pieces in the window: list and view linked, the sculpt before and after import, its unit."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt

from holdwright.geometry.mesh.frame import move_points
from holdwright.gui.document.document import Document
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from shapes import block, boulder, sphere
from whole_window import (
    LEFT,
    WAIT,
    choose_step,
    click,
    left_as_met,
    pane,
    pixel,
    settled,
    taken_up,
)

METRE = 0.001
BY = " \N{MULTIPLICATION SIGN} "


@pytest.fixture
def sculpt(tmp_path):
    """A lump with a hole, in metres, a ball on it, and the ground it stands on."""
    lump, ball, ground = boulder(segments=24), sphere(15.0, 24), block(160.0, 160.0, 8.0)
    inner = np.linalg.norm(lump.vertices[lump.triangles].mean(axis=1) - lump.vertices[40], axis=1) > 9.0
    rows, first = [], 1
    for name, solid, faces, shift in (
        ("lump", lump, lump.triangles[inner], (0.0, 0.0, 0.0)),
        ("ball", ball, ball.triangles, (0.0, 45.0, 20.0)),
        ("ground", ground, ground.triangles, (0.0, 0.0, -45.0)),
    ):
        rows.append(f"g {name}")
        rows += [f"v {x:.7f} {y:.7f} {z:.7f}" for x, y, z in (solid.vertices + shift) * METRE]
        rows += [f"f {a} {b} {c}" for a, b, c in faces + first]
        first += len(solid.vertices)
    path = tmp_path / "lump.obj"
    path.write_text("\n".join(rows) + "\n", "utf-8")
    return path


@pytest.fixture
def at_import(qtbot, shared_window, sculpt):
    """A window with that sculpt finished, its import worked on and looked at closely."""
    window = shared_window
    taken_up(qtbot, window, sculpt)
    choose_step(qtbot, window, "s1")
    qtbot.waitUntil(lambda: window.document.pieces.look is not None, timeout=20_000)
    settled(qtbot, window)
    yield window
    left_as_met(qtbot, window)


def rows_of(window):
    """Give the list of pieces."""
    return window.sidebar.card.entries["s1"].form.fields["leave_out"].editor.keyboard_widget()


def place(window, name: str, side: float = 0.5) -> QPoint:
    """Give the pixel of a place in a piece's box: its middle, or one to its right."""
    account = window.document.pieces.account(name)
    low, high = np.array(account.low), np.array(account.high)
    spot = low + (high - low) * np.array([side, 0.5, 0.5])
    return pixel(window, move_points(window.document.step("s1").placement, spot))


def test_each_row_tells_what_came_of_its_piece(at_import):
    window, listed = at_import, rows_of(at_import)
    assert [listed.item(row).text() for row in range(3)] == ["lump", "ball", "ground"]
    told = {listed.item(row).text(): listed.item(row).toolTip() for row in range(3)}
    assert "mended" in told["lump"]
    assert "1 hole was closed" in told["lump"]
    assert "as sculpted" in told["ball"]
    assert "ground block" in told["ground"]
    scale = np.linalg.norm(window.document.step("s7").placement[:3, 0])
    side, volume = 30.0 * METRE * scale, 4.0 / 3.0 * np.pi * (15.0 * METRE * scale) ** 3 / 1000.0
    assert f"{side:.0f}{BY}{side:.0f}{BY}" in told["ball"], "sizes are those of the finished hold"
    met = float(told["ball"].partition(" cm³")[0].rpartition("mm,  ")[2])
    assert met == pytest.approx(volume, rel=0.05)
    ticks = [listed.item(row).checkState() == Qt.CheckState.Checked for row in range(3)]
    assert ticks == [False, False, True]
    assert {"s1/open", "s1/holes-mark", "s1/ground"} <= set(window.viewport.overlay.names)


def test_rows_and_view_point_at_each_other(qtbot, at_import):
    window = at_import
    listed, pieces = rows_of(window), window.document.pieces
    window.viewport.set_view("front")
    qtbot.mouseMove(listed.viewport(), listed.visualItemRect(listed.item(1)).center())
    assert pieces.pointed == "ball"
    assert window.viewport.overlay.labels["s1/pointed"].text.startswith("ball")
    qtbot.mouseMove(pane(window), place(window, "lump"))
    assert pieces.pointed == listed.hot == "lump"
    click(window, place(window, "ball"))
    assert pieces.chosen == listed.currentItem().text() == "ball"
    qtbot.mouseClick(
        listed.viewport(), LEFT, pos=listed.visualItemRect(listed.item(0)).center() + QPoint(20, 0)
    )
    assert pieces.chosen == "lump"
    click(window, QPoint(12, 12))
    assert pieces.chosen == ""
    assert listed.currentItem() is None
    assert not window.document.undo_text, "to point and to choose changes nothing"


def test_the_ground_block_left_out_is_found_and_used_again_by_its_tick(qtbot, at_import):
    window = at_import
    listed, pieces = rows_of(window), window.document.pieces
    window.viewport.set_view("front")
    listed.setFixedHeight(listed.sizeHintForRow(0))
    listed.scrollToTop()
    qtbot.mouseMove(pane(window), place(window, "ground", 0.04))
    last = listed.visualItemRect(listed.item(2))
    assert listed.hot == "ground"
    assert listed.viewport().rect().contains(last.center()), "it is brought into sight"
    click(window, place(window, "ground", 0.04))
    assert pieces.chosen == "ground"
    row = listed.visualItemRect(listed.currentItem())
    qtbot.mouseClick(listed.viewport(), LEFT, pos=QPoint(row.x() + 14, row.center().y()))
    values = window.document.recipe.step("s1").parameters
    assert (values.ground_block, values.leave_out) == ("keep", ())
    settled(qtbot, window)
    assert "s1/ground" not in window.viewport.overlay.names
    listed.setFocus()
    qtbot.keyClick(listed, Qt.Key.Key_Space)
    assert window.document.recipe.step("s1").parameters.leave_out == ("ground",)
    qtbot.keyClick(listed, Qt.Key.Key_Delete)
    assert window.document.recipe.step("s1").parameters.leave_out == ()


def test_before_and_after_are_a_key_apart(qtbot, at_import):
    window = at_import
    view, bar = window.viewport, window.view_bar
    assert "raw" in bar.on
    assert set(view.scene.parts) == {"whole"}
    pose = view.pose
    view.setFocus()
    qtbot.keyClick(pane(window), Qt.Key.Key_B)
    assert set(view.scene.parts) == {"lump", "ball", "ground"}
    assert view.pose == pose
    assert bar.raw_words[True].isChecked()
    parts = [view.scene.parts[name].surface.vertices for name in ("lump", "ball")]
    drawn = np.concatenate(parts)
    low, high = window.document.step("s1").measures.bounds_mm
    assert drawn.min(axis=0) == pytest.approx(low, abs=0.5)
    assert drawn.max(axis=0) == pytest.approx(high, abs=0.5)
    qtbot.mouseClick(bar.raw_words[False], LEFT)
    assert set(view.scene.parts) == {"whole"}
    assert view.pose == pose
    qtbot.mouseClick(bar.raw_words[True], LEFT)
    choose_step(qtbot, window, "s2")
    assert "raw" not in bar.on
    assert set(view.scene.parts) == {"whole"}
    assert not window.actions_table["raw"].isChecked()


def test_a_unit_is_offered_and_only_set_when_asked_for(qtbot, at_import):
    window = at_import
    editor = window.sidebar.card.entries["s1"].form.fields["unit"].editor
    assert editor.words.text() == "0.16 across: m would make it 160 mm"
    assert window.document.recipe.step("s1").parameters.unit == "by envelope"
    qtbot.mouseClick(editor.use_button, LEFT)
    assert window.document.recipe.step("s1").parameters.unit == "m"
    assert not editor.use_button.isVisible()
    settled(qtbot, window)
    assert window.document.step("s1").sized
    before = rows_of(window).item(1).toolTip()
    window.document.edits.edit("s3", {"diameter": 240.0})
    settled(qtbot, window)
    assert rows_of(window).item(1).toolTip() != before, "sizes follow the scale step"


def test_pieces_that_import_refuses_are_listed_and_can_be_left_out(qtbot, data_folder, tmp_path):
    lump = boulder(segments=24)
    rows = ["g lump", *(f"v {x:.6f} {y:.6f} {z:.6f}" for x, y, z in lump.vertices)]
    rows += [f"f {a} {b} {c}" for a, b, c in lump.triangles + 1]
    rows += ["g sheet", "v 60 0 0", "v 90 0 0", "v 90 40 0", "v 60 40 0", "f -4 -3 -2", "f -4 -2 -1"]
    path = tmp_path / "lump.obj"
    path.write_text("\n".join(rows) + "\n", "utf-8")
    document = Document(GeometrySupervisor(data_folder / "results"), data_folder / "autosave")
    try:
        assert document.start_with_sculpt(path)
        document.edits.select("s1")
        qtbot.waitUntil(lambda: bool(document.pieces.account("sheet")), timeout=WAIT)
        qtbot.waitUntil(lambda: document.pieces.account("sheet").grade == "no solid", timeout=WAIT)
        assert "flat" in document.pieces.account("sheet").problem
        assert "bound" in document.step("s1").failed
        document.pieces.toggle("sheet")
        assert document.recipe.step("s1").parameters.leave_out == ("sheet",)
        qtbot.waitUntil(lambda: not document.busy, timeout=WAIT)
        assert document.step("s1").result == "1 piece fused, 1 left out"
        assert document.pieces.why_left(document.pieces.account("sheet")) == "by name"
    finally:
        document.close()
