"""The map of the walls: measured in a second process, stale results dropped, its loss survived."""

import numpy as np
import pytest

from holdwright.gui.document.document import Document
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.gui.document.thickness_map import ThicknessMap
from holdwright.operations.scale_to_envelope import ScaleToEnvelope
from holdwright.pipeline.recipes.history import History
from holdwright.pipeline.recipes.recipe import Source
from holdwright.session import Session
from mesh_files import write_obj
from recipes import new_recipe
from shapes import block

WAIT = 60_000
SLAB = (100.0, 80.0, 10.0)


def idle(busy: bool) -> bool:
    return not busy


@pytest.fixture
def document(qapp, qtbot, data_folder, tmp_path):
    """A slab brought to 128 mm across its diagonal, its edges no longer than a few mm."""
    slab = block(*SLAB)
    fine = type(slab).checked(slab.kernel.refine_to_length(5.0))
    recipe = new_recipe(Source(str(write_obj(tmp_path / "slab.obj", fine)))).inserted(ScaleToEnvelope())
    recipe = recipe.with_parameters("s1", {"unit": "mm"})
    recipe = recipe.with_parameters("s2", {"rule": "factor", "factor": 1.2, "detail": 0.0})
    made = Document(GeometrySupervisor(data_folder / "results"), data_folder / "autosave")
    with qtbot.waitSignal(made.busy_changed, timeout=WAIT, check_params_cb=idle):
        made.open_session(Session(History.of(recipe)))
    yield made
    made.close()


@pytest.fixture
def walls(document, data_folder):
    made = ThicknessMap(document, data_folder / "results")
    yield made
    made.close()


def test_a_slab_is_as_thick_as_it_is_at_every_vertex_shown(qtbot, document, walls):
    step = document.step("s2")
    with (
        qtbot.waitSignal(walls.thinnest_found, timeout=WAIT) as thinnest,
        qtbot.waitSignal(walls.ready, timeout=WAIT) as ready,
    ):
        walls.request(step)
    key, part, values, low, high = ready.args
    assert thinnest.args[:2] == ["whole", low]
    assert (key, part) == (step.key, "whole")
    vertices = step.solids["whole"].surface.vertices
    assert values.shape == (len(vertices),)
    middle = (np.abs(vertices[:, 0]) < 50) & (np.abs(vertices[:, 1]) < 38)
    assert middle.sum() > 50
    assert values[middle] == pytest.approx(12.0, abs=1e-3)
    assert low == pytest.approx(12.0, abs=1e-3)
    assert high >= low
    assert walls.task.requested is None
    with qtbot.waitSignal(walls.ready, timeout=0):
        walls.request(step)


def test_a_cut_does_not_wait_for_the_map_and_what_it_outdates_is_dropped(qtbot, document, walls):
    met = []
    walls.ready.connect(lambda *args: met.append(args))
    old = document.step("s2")
    walls.request(old)
    qtbot.waitUntil(lambda: walls.supervisor.pid != 0, timeout=WAIT)
    with qtbot.waitSignal(document.busy_changed, timeout=WAIT, check_params_cb=idle):
        document.edits.edit("s2", {"factor": 2.0})
    assert walls.task.requested is None
    with qtbot.waitSignal(walls.ready, timeout=WAIT) as ready:
        walls.request(document.step("s2"))
    assert ready.args[0] == document.step("s2").key != old.key
    assert ready.args[3] == pytest.approx(20.0, abs=1e-3)
    assert [args[0] for args in met] == [document.step("s2").key]


def test_the_process_lost_is_told_and_the_next_try_succeeds(qtbot, document, walls):
    step = document.step("s2")
    walls.request(step)
    qtbot.waitUntil(lambda: walls.supervisor.pid != 0, timeout=WAIT)
    lost = walls.supervisor.pid
    with qtbot.waitSignal(walls.failed, timeout=WAIT) as failed:
        walls.supervisor._child._process.kill()
    assert "ended unexpectedly" in failed.args[0]
    assert not document.busy
    assert walls.task.requested is None
    with qtbot.waitSignal(walls.ready, timeout=WAIT):
        walls.request(step)
    assert walls.supervisor.pid not in (0, lost)


def test_nothing_is_measured_once_it_is_not_wanted(qtbot, document, walls):
    with qtbot.assertNotEmitted(walls.ready, wait=400):
        walls.request(document.step("s2"))
        assert walls.task.requested is not None
        walls.request(None)
        assert walls.task.requested is None
    assert walls.supervisor.pid == 0
