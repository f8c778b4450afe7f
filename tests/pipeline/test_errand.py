"""Errands in the geometry process: done in turn, never dropped for a job, given up when asked."""

import numpy as np
import pytest

from holdwright.export.export_task import FilesAsked, FilesWritten, write_files
from holdwright.operations.scale_to_envelope import ScaleToEnvelope
from holdwright.pipeline.analysis import FieldAsked, measure_thickness
from holdwright.pipeline.child import Child
from holdwright.pipeline.messages import Ended, Errand, Gave, Job, StepShown, Stop
from holdwright.pipeline.recipe import Recipe, new_recipe
from holdwright.pipeline.recipe_file import recipe_text
from mesh_files import write_obj
from shapes import block

WAIT = 60.0


@pytest.fixture(scope="module")
def child(tmp_path_factory):
    started = Child(tmp_path_factory.mktemp("store"))
    yield started
    started.close()


@pytest.fixture(scope="module")
def sculpt(tmp_path_factory):
    return str(write_obj(tmp_path_factory.mktemp("sculpt") / "box.obj", block(100, 80, 10)))


def scaled(diameter: float = 120.0) -> Recipe:
    return new_recipe().inserted(ScaleToEnvelope()).with_parameters("s2", {"diameter": diameter})


def answers(child: Child, number: int) -> list:
    met = []
    while not (met and isinstance(met[-1], Ended) and met[-1].number == number):
        answer = child.answer(WAIT)
        assert answer is not None, "no answer in time"
        met.append(answer)
    return met


def files_asked(folder, **changes) -> FilesAsked:
    asked = {
        "name": "box",
        "recipe_name": "plain",
        "folder": folder,
        "formats": ("stl",),
        "parts": ("whole",),
    }
    return FilesAsked(**{**asked, **changes})


def test_files_are_written_and_named_with_their_sizes(child, sculpt, tmp_path):
    child.ask(Errand(1, write_files, recipe_text(scaled()), sculpt, files_asked(tmp_path / "out")))
    met = answers(child, 1)
    (gave,) = [each.what for each in met if isinstance(each, Gave)]
    assert isinstance(gave, FilesWritten)
    assert [path.name for path, _ in gave.files] == ["box-whole.stl", "box.report.json"]
    assert all(path.stat().st_size == size for path, size in gave.files)
    assert met[-1] == Ended(1)


@pytest.mark.parametrize(
    ("changes", "words"),
    [({"parts": ("core",)}, "core"), ({"formats": ()}, "format"), ({"parts": ()}, "no part")],
)
def test_what_cannot_be_written_ends_with_a_sentence(child, sculpt, tmp_path, changes, words):
    asked = files_asked(tmp_path / "out", **changes)
    child.ask(Errand(11, write_files, recipe_text(scaled()), sculpt, asked))
    met = answers(child, 11)
    assert words in met[-1].failed
    assert not (tmp_path / "out").exists()


def test_later_jobs_do_not_drop_an_errand(child, sculpt, tmp_path):
    child.ask(Job(21, recipe_text(scaled(101)), sculpt))
    child.ask(Errand(22, write_files, recipe_text(scaled(102)), sculpt, files_asked(tmp_path)))
    for number in (23, 24):
        child.ask(Job(number, recipe_text(scaled(100.0 + number)), sculpt))
    met = answers(child, 24)
    ends = {each.number: each for each in met if isinstance(each, Ended)}
    assert set(ends) == {21, 22, 23, 24}
    assert ends[22] == Ended(22)
    assert (tmp_path / "box-whole.stl").is_file()


def test_an_errand_is_given_up_when_asked(child, sculpt, tmp_path):
    child.ask(Stop(31))
    child.ask(Errand(31, write_files, recipe_text(scaled()), sculpt, files_asked(tmp_path / "out")))
    assert answers(child, 31)[-1] == Ended(31, stopped=True)
    assert not (tmp_path / "out").exists()


def test_walls_are_measured_where_asked_whether_remembered_or_not(child, sculpt, tmp_path):
    recipe = recipe_text(scaled())
    child.ask(Job(41, recipe, sculpt))
    step = [each.step for each in answers(child, 41) if isinstance(each, StepShown)][-1]
    places = np.array([[0, 0, 0], [0, 0, 1]], dtype=np.float32)
    asked = FieldAsked(step.id, step.key, {"whole": places})
    fresh = Child(tmp_path / "empty")
    try:
        for process in (child, fresh):
            process.ask(Errand(42, measure_thickness, recipe, sculpt, asked))
            (gave,) = [each.what for each in answers(process, 42) if isinstance(each, Gave)]
            thickness = float(np.ptp(step.solids["whole"].surface.vertices[:, 2]))
            assert gave["whole"].low == pytest.approx(thickness, rel=1e-5)
            assert gave["whole"].values.shape == (2,)
        outdated = FieldAsked(step.id, "0" * 32, {"whole": places})
        child.ask(Errand(43, measure_thickness, recipe, sculpt, outdated))
        assert "ask again" in answers(child, 43)[-1].failed
    finally:
        fresh.close()
