"""The geometry process: it does jobs, sends results, gives up when asked and is survived when killed."""

import numpy as np
import pytest

from holdwright.geometry.mesh.solid import Solid
from holdwright.operations.import_sculpt import ImportSculpt
from holdwright.operations.scale_to_envelope import ScaleToEnvelope
from holdwright.pipeline.child import Child, Lost
from holdwright.pipeline.messages import Ended, Job, Reported, SculptShown, StepShown
from holdwright.pipeline.recipe import Recipe, new_recipe
from holdwright.pipeline.recipe_file import recipe_text
from shapes import block, boulder

WAIT = 60.0


def write_obj(path, solid: Solid):
    rows = [f"v {x:.9g} {y:.9g} {z:.9g}" for x, y, z in solid.vertices]
    rows += [f"f {a} {b} {c}" for a, b, c in solid.triangles + 1]
    path.write_text("\n".join(rows) + "\n")
    return path


@pytest.fixture
def child(tmp_path):
    started = Child(tmp_path / "store")
    yield started
    started.close()


@pytest.fixture
def recipe() -> Recipe:
    return new_recipe().inserted(ScaleToEnvelope())


def answers(child: Child, number: int) -> list:
    met = []
    while not (met and isinstance(met[-1], Ended) and met[-1].number == number):
        answer = child.answer(WAIT)
        assert answer is not None, "no answer in time"
        met.append(answer)
    return met


def test_a_job_gives_the_sculpt_each_step_and_its_end(child, recipe, tmp_path):
    path = write_obj(tmp_path / "ball.obj", boulder())
    child.ask(Job(1, recipe_text(recipe), str(path)))
    met = answers(child, 1)
    (sculpt,) = [each for each in met if isinstance(each, SculptShown)]
    assert [name for name, _ in sculpt.pieces] == ["ball"]
    steps = [each.step for each in met if isinstance(each, StepShown)]
    assert [step.operation for step in steps] == [ImportSculpt.name, ScaleToEnvelope.name]
    surface = steps[-1].solids["whole"].surface
    corners = surface.vertices.astype(float)[surface.triangles]
    volume = np.einsum("ij,ij->", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6
    assert volume == pytest.approx(steps[-1].measures.volume_mm3, rel=1e-4)
    assert met[-1].failed == ""
    assert all(0 <= each.fraction <= 1 for each in met if isinstance(each, Reported))


def test_solids_the_window_still_has_are_not_sent_again(child, recipe, tmp_path):
    path = write_obj(tmp_path / "box.obj", block())
    child.ask(Job(1, recipe_text(recipe), str(path)))
    have = frozenset(each.step.key for each in answers(child, 1) if isinstance(each, StepShown))
    child.ask(Job(2, recipe_text(recipe), str(path), have=have))
    again = [each.step for each in answers(child, 2) if isinstance(each, StepShown)]
    assert all(step.cached and not step.solids for step in again)


def test_a_failed_step_is_told_with_its_sentence(child, recipe, tmp_path):
    path = write_obj(tmp_path / "box.obj", block())
    spoilt = recipe.with_parameters("s1", {"leave_out": ["*"]})
    child.ask(Job(1, recipe_text(spoilt), str(path)))
    met = answers(child, 1)
    (failed,) = [each.step for each in met if isinstance(each, StepShown)]
    assert "left out" in failed.failed
    assert met[-1].failed == failed.failed


@pytest.mark.parametrize("text", ["not a recipe", '{"format": 99, "steps": []}'])
def test_a_job_that_cannot_start_ends_with_a_sentence(child, text, tmp_path):
    child.ask(Job(1, text, str(tmp_path / "none.obj")))
    (ended,) = answers(child, 1)
    assert ended.failed


def test_of_waiting_jobs_only_the_latest_is_done(child, recipe, tmp_path):
    path = write_obj(tmp_path / "ball.obj", boulder(segments=256))
    for number in range(1, 6):
        diameter = {"diameter": 100.0 + number}
        child.ask(Job(number, recipe_text(recipe.with_parameters("s2", diameter)), str(path)))
    met = answers(child, 5)
    ends = {each.number: each for each in met if isinstance(each, Ended)}
    assert set(ends) == {1, 2, 3, 4, 5}
    assert not ends[5].stopped
    assert any(ends[number].stopped for number in (2, 3, 4))


def test_after_a_kill_the_next_process_finds_what_was_done(child, recipe, tmp_path):
    path = write_obj(tmp_path / "ball.obj", boulder())
    child.ask(Job(1, recipe_text(recipe), str(path)))
    answers(child, 1)
    store = tmp_path / "store"
    deadline = 200
    while len(list(store.glob("*.npz"))) < 2 and deadline:
        child.answer(0.05)
        deadline -= 1
    child.kill()
    with pytest.raises(Lost):
        child.ask(Job(2, recipe_text(recipe), str(path)))
    successor = Child(store)
    try:
        successor.ask(Job(3, recipe_text(recipe), str(path)))
        steps = [each.step for each in answers(successor, 3) if isinstance(each, StepShown)]
        assert all(step.cached and step.solids for step in steps)
    finally:
        successor.close()


def test_a_killed_process_is_noticed(child):
    child._process.kill()
    with pytest.raises(Lost):
        child.answer(WAIT)
