"""Work in the geometry process other than to show steps: done in turn, given up when asked."""

import numpy as np
import pytest

from holdwright.export.job import Exported, ExportRequest, write_files
from holdwright.operations.scale_to_envelope import ScaleToEnvelope
from holdwright.pipeline.geometry_process.messages import Ended, Stop
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.views.analysis import ThicknessRequest, measure_thickness
from mesh_files import write_obj
from pipeline.geometry_process.child_answers import answers, ask, ask_steps, geometry_child, shown_steps
from recipes import new_recipe
from shapes import block


@pytest.fixture(scope="module")
def child(tmp_path_factory):
    started = geometry_child(tmp_path_factory.mktemp("store"))
    yield started
    started.close()


@pytest.fixture(scope="module")
def sculpt(tmp_path_factory):
    return str(write_obj(tmp_path_factory.mktemp("sculpt") / "box.obj", block(100, 80, 10)))


def scaled(diameter: float = 120.0) -> Recipe:
    return new_recipe().inserted(ScaleToEnvelope()).with_parameters("s2", {"diameter": diameter})


def files_asked(folder, **changes) -> ExportRequest:
    asked = {
        "name": "box",
        "recipe_name": "plain",
        "folder": folder,
        "formats": ("stl",),
        "parts": ("whole",),
    }
    return ExportRequest(**{**asked, **changes})


def test_files_are_written_and_named_with_their_sizes(child, sculpt, tmp_path):
    ask(child, 1, write_files, scaled(), sculpt, files_asked(tmp_path / "out"))
    met = answers(child, 1)
    gave = met[-1].result
    assert isinstance(gave, Exported)
    assert [path.name for path, _ in gave.files] == ["box-whole.stl", "box.report.json"]
    assert all(path.stat().st_size == size for path, size in gave.files)
    assert met[-1] == Ended(1, gave)


@pytest.mark.parametrize(
    ("changes", "words"),
    [({"parts": ("core",)}, "core"), ({"formats": ()}, "format"), ({"parts": ()}, "no part")],
)
def test_what_cannot_be_written_ends_with_a_sentence(child, sculpt, tmp_path, changes, words):
    asked = files_asked(tmp_path / "out", **changes)
    ask(child, 11, write_files, scaled(), sculpt, asked)
    met = answers(child, 11)
    assert words in str(met[-1].error)
    assert not (tmp_path / "out").exists()


def test_all_that_is_asked_meanwhile_is_done(child, sculpt, tmp_path):
    ask_steps(child, 21, scaled(101), sculpt)
    ask(child, 22, write_files, scaled(102), sculpt, files_asked(tmp_path))
    for number in (23, 24):
        ask_steps(child, number, scaled(100.0 + number), sculpt)
    met = answers(child, 24)
    ends = {each.number: each for each in met if isinstance(each, Ended)}
    assert set(ends) == {21, 22, 23, 24}
    assert ends[22].error is None
    assert (tmp_path / "box-whole.stl").is_file()


def test_an_task_is_given_up_when_asked(child, sculpt, tmp_path):
    child.ask(Stop(31))
    ask(child, 31, write_files, scaled(), sculpt, files_asked(tmp_path / "out"))
    assert answers(child, 31)[-1] == Ended(31, stopped=True)
    assert not (tmp_path / "out").exists()


def test_walls_are_measured_where_asked_whether_remembered_or_not(child, sculpt, tmp_path):
    recipe = scaled()
    ask_steps(child, 41, recipe, sculpt)
    step = shown_steps(answers(child, 41))[-1]
    places = np.array([[0, 0, 0], [0, 0, 1]], dtype=np.float32)
    asked = ThicknessRequest(step.id, step.key, {"whole": places})
    fresh = geometry_child(tmp_path / "empty")
    try:
        for process in (child, fresh):
            ask(process, 42, measure_thickness, recipe, sculpt, asked)
            gave = answers(process, 42)[-1].result
            thickness = float(np.ptp(step.solids["whole"].surface.vertices[:, 2]))
            assert gave["whole"].low == pytest.approx(thickness, rel=1e-5)
            assert gave["whole"].values.shape == (2,)
        outdated = ThicknessRequest(step.id, "0" * 32, {"whole": places})
        ask(child, 43, measure_thickness, recipe, sculpt, outdated)
        assert "ask again" in str(answers(child, 43)[-1].error)
    finally:
        fresh.close()
