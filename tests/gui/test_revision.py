"""Another sculpt is dropped on an open recipe: the window says what changed, and shows the old hold."""

import json
from dataclasses import replace

import igl
import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.finding import Finding
from mesh_files import write_obj
from shapes import boulder, sphere
from whole_window import LEFT, answering, choose_step, open_window, opened_on, settled, typed, window

__all__ = ["open_window", "window"]


def ghost_colour(window):
    """Give the colour the old hold is drawn in."""
    return window.viewport.overlay._ghosts["old/whole", "mesh"].look[0]


@pytest.fixture
def revised(qtbot, window, tmp_path):
    """A window whose saved recipe stands on a second sculpt, dropped on it."""
    opened_on(qtbot, window, write_obj(tmp_path / "lump.obj", boulder(segments=24)))
    typed_rim(qtbot, window, "5")
    assert window.document.save(tmp_path / "finish.json")
    assert window.revision_strip.words == ""
    with answering("Replace the sculpt"):
        opened_on(qtbot, window, write_obj(tmp_path / "revised.obj", boulder(segments=24, seed=5)))
    return window


def typed_rim(qtbot, window, text):
    """Type the height of the rim, and wait for the hold."""
    step = next(each.id for each in window.document.recipe.steps if each.operation == "trim_base")
    choose_step(qtbot, window, step)
    typed(qtbot, window, step, "rim", text)
    settled(qtbot, window)


def ghosts(window):
    return {name for name in window.viewport.overlay.names if name.startswith("old/")}


def test_the_strip_says_what_changed_and_opens_and_goes(qtbot, revised):
    window, strip = revised, revised.revision_strip
    assert window.top_bar.title == "finish on revised, changed"
    assert strip.words.startswith("revised: ")
    assert "cm³" in strip.words
    shown = {line[0]: line[1:] for line in strip.table}
    assert shown[""] == ("before", "now", "change")
    low, high = window.document.step(window.document.recipe.steps[-1].id).measures.bounds_mm
    assert shown["Width"][1] == f"{high[0] - low[0]:.1f} mm"
    assert shown["Width"][0] != shown["Width"][1]
    assert {"Volume", "Thickness left under the seat of the bore", "Wall round the bore"} <= shown.keys()
    assert {f"Safety against {each}" for each in ("turning", "slip", "lift", "overturning")} <= shown.keys()
    window.print_work.task._rest.start(0)  # other windows of this file never come to it
    parts = {"Mass, shell", "Mass, core", "Mass, both"}
    qtbot.waitUntil(lambda: parts <= {line[0] for line in strip.table}, timeout=60_000)
    grams = {line[0]: line[2] for line in strip.table}
    masses = window.print_work.view.estimates
    shell, core, both = (int(grams[f"Mass, {name}"].split()[0]) for name in masses)
    assert shell + core == both, "as written"
    assert abs(shell - masses["shell"].mass.likely) < 1.0
    folded = strip.height()
    qtbot.mouseClick(strip.details, LEFT)
    assert strip._opened.height() >= len(strip.table) * strip.fontMetrics().height(), "no row is squeezed"
    qtbot.waitUntil(lambda: strip.height() > folded + 100)
    qtbot.mouseClick(strip.away, LEFT)
    assert strip.words == ""
    assert window.document.revision.outside is None


def test_the_old_hold_is_coloured_by_and_a_ghost_until_the_next_edit(qtbot, revised):
    distances_are_shown_in_colours(qtbot, revised)
    findings_of_the_print_are_told(revised)
    window, strip = revised, revised.revision_strip
    qtbot.mouseClick(strip.old, LEFT)
    assert ghosts(window) == set()
    qtbot.mouseClick(strip.old, LEFT)
    assert ghosts(window) == {"old/whole"}
    choose_step(qtbot, window, window.document.recipe.steps[-1].id)
    assert ghosts(window) == {"old/whole"}, "it stays while one looks round"
    by_day = ghost_colour(window)
    window.viewport.set_scheme("dark")
    assert ghost_colour(window) != by_day
    old, new = window.viewport.overlay._ghosts["old/whole", "mesh"], window.viewport.scene.parts
    planes = lambda drawn: [  # noqa: E731
        each.mapper.GetClippingPlanes().GetNumberOfItems() if each.mapper.GetClippingPlanes() else 0
        for each in drawn
    ]
    qtbot.mouseClick(strip.swipe, LEFT)
    sides = []
    for share in (50, 20):
        strip.blend.setValue(share)
        cut = old.mapper.GetClippingPlanes().GetItem(0)
        (other,) = {
            (each.GetOrigin()[0], each.GetNormal())
            for part in new.values()
            for each in [part._drawn[0].mapper.GetClippingPlanes().GetItem(0)]
        }
        assert (cut.GetNormal(), other[1]) == ((-1.0, 0.0, 0.0), (1.0, 0.0, 0.0)), "each draws one side"
        assert other[0] == cut.GetOrigin()[0]
        sides.append(other[0])
    assert sides[1] < sides[0]
    qtbot.mouseClick(strip.old, LEFT)
    assert ghosts(window) == set()
    assert planes([part._drawn[0] for part in new.values()]) == [0] * len(new), "all of the new one again"
    qtbot.mouseClick(strip.old, LEFT)
    assert not strip.swipe.isChecked()
    window.actions_table["undo"].trigger()
    assert strip.words == ""
    assert ghosts(window) == set()
    assert window.document.revision.outside is None, "nothing of the old hold is stored"
    settled(qtbot, window)
    assert strip.words == "", "undo is an edit, not another sculpt"


def distances_are_shown_in_colours(qtbot, revised):
    """The figures of the map are those of igl, an independent library, on the same two surfaces."""
    window, strip, revision = revised, revised.revision_strip, revised.document.revision
    assert not strip.blend.isVisible()
    qtbot.mouseClick(strip.distance, LEFT)
    qtbot.waitUntil(lambda: window.viewport.scene.heat is not None, timeout=30_000)
    heat, old, new = window.viewport.scene.heat, revision.outside, revision.outside_now
    assert (heat.low, heat.title, heat.unit, heat.signed) == (-heat.high, "Distance", "mm", True)
    assert window.viewport.scene.parts.keys() == {"whole"}, "the whole hold is what is coloured"
    assert window.document.selected == "", "and no step is opened for it"
    before = old.solids["whole"].surface.mesh.moved(revision.motion(new.placement))
    places = new.solids["whole"].surface.vertices.astype(np.float64)
    wanted = igl.signed_distance(places, before.vertices, before.triangles)[0]
    assert np.abs(heat.values - wanted).max() < 0.01
    choose_step(qtbot, window, window.document.recipe.steps[0].id)
    assert window.viewport.scene.heat is None, "another step is another hold"
    assert not strip.distance.isChecked()
    qtbot.mouseClick(strip.distance, LEFT)
    assert window.viewport.scene.heat is not None
    window.actions_table["heat"].setChecked(True)
    assert not strip.distance.isChecked(), "one map at a time"
    window.actions_table["heat"].setChecked(False)
    qtbot.mouseClick(strip.old, LEFT)
    assert strip.blend.isVisible()
    strip.blend.setValue(90)
    assert window.viewport.overlay._ghosts["old/whole", "mesh"].look[1] == pytest.approx(0.9)


def findings_of_the_print_are_told(revised):
    """They come once they are there."""
    revision, document = revised.document.revision, revised.document
    # As if the old hold had been checked: here nobody waits for that.
    revision._before = replace(revision._before, print_findings=(Finding("island", "note", "An island."),))
    thin = Finding("thin_wall", "warning", "A wall is thin.")
    before = revised.revision_strip.words
    document.take_print((thin,), current=True)
    assert revision.comparison.gained[-1] == ("print", thin)
    assert revision.comparison.lost[-1][1].code == "island"
    assert revised.revision_strip.words != before
    assert "Warning gained, Print: A wall is thin." in revised.revision_strip._findings.text()


def test_a_sculpt_moved_in_the_headset_is_brought_back_and_it_is_told(qtbot, window, tmp_path):
    solid = boulder(segments=24)
    opened_on(qtbot, window, write_obj(tmp_path / "lump.obj", solid))
    assert window.document.save(tmp_path / "finish.json")
    assert "made_with" in json.loads((tmp_path / "finish.json").read_text())["source"]
    before = window.document.step("s1").placement
    turn = Rotation.from_euler("zx", [20.0, 10.0], degrees=True).as_matrix()
    moved = solid.moved(placement(turn, np.array([30.0, 5.0, -10.0])))
    with answering("Replace the sculpt"):
        opened_on(qtbot, window, write_obj(tmp_path / "moved.obj", moved))
    step = window.document.step("s1")
    (told,) = (each for each in step.findings if each.code == "sculpt_brought_back")
    assert "turned 22.3 degrees" in told.message
    back = step.placement[:3, :3] @ turn
    assert np.abs(back - before[:3, :3]).max() < 1e-3 * before[0, 0]
    assert window.revision_strip.words.endswith("1 finding gained"), window.revision_strip.words


def test_places_given_by_hand_follow_a_revised_sculpt_and_stay_there(qtbot, window, tmp_path):
    """The bore lies where it lay on the sculpt, in the recipe too; later edits do not move it again."""
    solid = boulder(segments=24)
    opened_on(qtbot, window, write_obj(tmp_path / "lump.obj", solid))
    document = window.document
    step = next(each.id for each in document.recipe.steps if each.operation == "cut_bore")
    document.edits.edit(step, {"place": "at", "at": (9.0, 6.0)})
    settled(qtbot, window)
    grown = Solid.checked(solid.kernel + sphere(20.0, 24).kernel.translate((55.0, 0.0, 0.0)))
    with answering("Replace the sculpt"):
        opened_on(qtbot, window, write_obj(tmp_path / "grown.obj", grown))
    assert window.revision_strip.words, "what follows is part of the change of sculpt"
    there = document.recipe.step(step).parameters.at
    (told,) = (each for each in document.step(step).findings if each.code == "places_followed")
    assert told.measured == pytest.approx(np.hypot(there[0] - 9.0, there[1] - 6.0), abs=1e-3)
    assert told.measured > 1.0
    typed_rim(qtbot, window, "5")
    assert document.recipe.step(step).parameters.at == there
    assert document.is_current(step)
    while document.undo_text:
        document.edits.undo()
        if document.recipe.source.path.endswith("lump.obj"):
            break
    assert document.recipe.step(step).parameters.at == (9.0, 6.0)
