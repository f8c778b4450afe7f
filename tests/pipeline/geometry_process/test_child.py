"""The geometry process: it replays, sends results, gives up when asked and is survived when killed."""

import numpy as np
import pytest

from holdwright.operations.import_sculpt import ImportSculpt
from holdwright.operations.scale_to_envelope import ScaleToEnvelope
from holdwright.pipeline.geometry_process.child import Lost
from holdwright.pipeline.geometry_process.messages import Reported, Sent
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.views.display_results import ShownSculpt
from mesh_files import write_obj
from pipeline.geometry_process.child_answers import WAIT, answers, ask_steps, geometry_child, shown_steps
from recipes import new_recipe
from shapes import block, boulder


@pytest.fixture
def child(tmp_path):
    started = geometry_child(tmp_path / "store")
    yield started
    started.close()


@pytest.fixture
def recipe() -> Recipe:
    return new_recipe().inserted(ScaleToEnvelope())


def test_a_replay_gives_the_sculpt_each_step_and_its_end(child, recipe, tmp_path):
    ask_steps(child, 1, recipe, write_obj(tmp_path / "ball.obj", boulder()))
    met = answers(child, 1)
    (sculpt,) = [
        each.content for each in met if isinstance(each, Sent) and isinstance(each.content, ShownSculpt)
    ]
    assert [name for name, _ in sculpt.pieces] == ["ball"]
    steps = shown_steps(met)
    assert [step.operation for step in steps] == [ImportSculpt.name, ScaleToEnvelope.name]
    surface = steps[-1].solids["whole"].surface
    corners = surface.vertices.astype(float)[surface.triangles]
    volume = np.einsum("ij,ij->", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6
    assert volume == pytest.approx(steps[-1].measures.volume_mm3, rel=1e-4)
    assert met[-1].error is None
    assert all(0 <= each.fraction <= 1 for each in met if isinstance(each, Reported))


def test_solids_the_window_still_has_are_not_sent_again(child, recipe, tmp_path):
    path = write_obj(tmp_path / "box.obj", block())
    ask_steps(child, 1, recipe, path)
    have = frozenset(step.key for step in shown_steps(answers(child, 1)))
    ask_steps(child, 2, recipe, path, have=have)
    assert all(step.cached and not step.solids for step in shown_steps(answers(child, 2)))


def test_a_failed_step_is_told_with_its_sentence(child, recipe, tmp_path):
    spoilt = recipe.with_parameters("s1", {"leave_out": ["*"]})
    ask_steps(child, 1, spoilt, write_obj(tmp_path / "box.obj", block()))
    met = answers(child, 1)
    (failed,) = shown_steps(met)
    assert "left out" in failed.failed
    assert str(met[-1].error) == failed.failed


@pytest.mark.parametrize("text", ["not a recipe", '{"format": 99, "steps": []}'])
def test_work_that_cannot_start_ends_with_a_sentence(child, text, tmp_path):
    ask_steps(child, 1, text, tmp_path / "none.obj")
    (ended,) = answers(child, 1)
    assert str(ended.error)


def test_after_a_kill_the_next_process_finds_what_was_done(child, recipe, tmp_path):
    path = write_obj(tmp_path / "ball.obj", boulder())
    ask_steps(child, 1, recipe, path)
    answers(child, 1)
    store = tmp_path / "store"
    deadline = 200
    while len(list(store.glob("*.npz"))) < 2 and deadline:
        child.answer(0.05)
        deadline -= 1
    child.kill()
    with pytest.raises(Lost):
        ask_steps(child, 2, recipe, path)
    successor = geometry_child(store)
    try:
        ask_steps(successor, 3, recipe, path)
        assert all(step.cached and step.solids for step in shown_steps(answers(successor, 3)))
    finally:
        successor.close()


def test_a_killed_process_is_noticed(child):
    child._process.kill()
    with pytest.raises(Lost):
        child.answer(WAIT)
