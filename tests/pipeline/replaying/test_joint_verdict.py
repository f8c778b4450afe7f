"""One verdict on the joint, wherever a recipe is replayed."""

import json
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import trimesh

import shapes
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.cli.main import main
from holdwright.errors import HoldwrightError, ParameterError, RecipeError
from holdwright.files.reading import read_sculpt
from holdwright.hold.feature import Bore
from holdwright.hold.finding import Finding
from holdwright.pipeline.recipes.assignment import set_parameter
from holdwright.pipeline.recipes.history import History
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.recipes.recipe_file import (
    dump_recipe,
    find_recipe,
    load_recipe,
    recipe_of,
    save_recipe,
)
from holdwright.pipeline.replaying import joint_verdict
from holdwright.pipeline.replaying.cache import Cache
from holdwright.pipeline.replaying.joint_verdict import why_not_judged
from holdwright.pipeline.replaying.replay import replay
from holdwright.pipeline.views.display_results import ShownJoint, ShownStep, StepsRequest, show_steps
from holdwright.pipeline.views.step_results import StepResults
from holdwright.pipeline.views.work_context import WorkContext
from holdwright.progress import SILENT
from holdwright.resources import sample_folder

CATALOGUE = load_catalogue()
STARTER = load_recipe(find_recipe("starter"))
BORE = "s6"
SHARED = Path(__file__).resolve().parents[4] / "shared/meshes/mesh"
ALL = bool(os.environ.get("HOLDWRIGHT_ALL_CASES"))
SAMPLES = sorted(path.name for path in sample_folder().glob("*.obj")) if ALL else ["hall-jug.obj"]
REAL = (
    [path.name for path in sorted(SHARED.glob("*.*"), key=lambda path: path.stat().st_size)[:11]]
    if ALL
    else ["not_convex.obj", "hand_open.obj"]
)
"""Between them and the sample: notes, warnings and errors of joint, core, screws and print."""

Codes = list[tuple[str, str]]


def coded(findings: Any) -> Codes:
    return [(each["step"], each["code"]) for each in findings]


def window_codes(recipe: Recipe, sculpt: Path, cache: Cache) -> Codes:
    """Codes as the window's document holds them once a replay was sent to it."""
    results = StepResults(lambda: None)

    def take(content: object) -> None:
        if isinstance(content, ShownStep):
            results.took(content, recipe)
        elif isinstance(content, ShownJoint):
            results.judged(content.findings)

    made = WorkContext(recipe, sculpt, lambda _: read_sculpt(sculpt), CATALOGUE, cache, SILENT, take)
    show_steps(made, StepsRequest())
    return [(step, finding.code) for step, finding in results.findings(recipe)]


@pytest.mark.parametrize("name", SAMPLES)
def test_window_check_replay_and_report_say_the_same(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    check_everywhere(sample_folder() / name, tmp_path, capsys)


@pytest.mark.shared
@pytest.mark.parametrize("name", REAL)
def test_real_meshes_too(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    if not (SHARED / name).is_file():
        pytest.skip("no folder of real meshes beside the project")
    check_everywhere(SHARED / name, tmp_path, capsys)


def check_everywhere(sculpt: Path, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code = main(["check", "starter", str(sculpt), "--json"])
    checked = json.loads(capsys.readouterr().out)
    if code:
        pytest.skip(f"{sculpt.name} makes no hold: {checked['refused']}")
    codes = coded(checked["findings"])
    assert any(step == BORE for step, _ in codes)
    assert any("EN 12572-3" in each for each in checked["cautions"])
    strict = main(["replay", "starter", str(sculpt), "--out", str(folder), "--strict"])
    said = capsys.readouterr().out
    assert all(f"[{each}]" in said for _, each in codes)
    assert (strict == 5) == any(each["severity"] == "error" for each in checked["findings"])
    report = json.loads((folder / f"{sculpt.stem}.report.json").read_text())
    assert coded(report["findings"]) == codes
    # The window's list is by step; where findings stand together they are ranked.
    of_steps = [each for each in codes if each[0] != "print"]
    assert sorted(window_codes(STARTER, sculpt, Cache())) == sorted(of_steps)


@pytest.fixture(scope="module")
def cache() -> Cache:
    return Cache()


@pytest.fixture
def judge(cache: Cache) -> Callable[[Recipe], list[Finding]]:
    sculpt = read_sculpt(sample_folder() / "hall-jug.obj")

    def judging(recipe: Recipe) -> list[Finding]:
        done = replay(recipe, sculpt, catalogue=CATALOGUE, cache=cache)
        return (
            [] if done.joint is None else [each for found in done.joint.findings.values() for each in found]
        )

    return judging


Judge = Callable[[Recipe], list[Finding]]


def test_what_it_is_judged_for_changes_the_verdict_and_no_shape(judge: Judge, cache: Cache) -> None:
    usual = judge(STARTER)
    light = judge(STARTER.with_parameters("joint", {"mass": 20.0, "factor": 1.0}))
    assert {each.code for each in light} != {each.code for each in usual}
    sculpt = read_sculpt(sample_folder() / "hall-jug.obj")
    changed = STARTER.with_parameters("joint", {"material": "PLA", "overhang": 40.0})
    keys = [
        [each.key for each in replay(recipe, sculpt, catalogue=CATALOGUE, cache=cache).results]
        for recipe in (STARTER, changed)
    ]
    assert keys[0] == keys[1]


def test_its_shape_is_measured_once(judge: Judge, monkeypatch: pytest.MonkeyPatch) -> None:
    judge(STARTER)

    def refuse(_hold: object) -> None:
        raise AssertionError("measured again")

    monkeypatch.setattr(joint_verdict, "joint_shape", refuse)
    judge(STARTER.with_parameters("joint", {"torque": 9.0}))


def test_without_bore_there_is_none(judge: Judge) -> None:
    assert judge(STARTER.toggled("s7").toggled(BORE)) == []
    assert judge(STARTER.toggled("s7")) != []


def test_without_a_finished_back_there_is_none(tmp_path: Path) -> None:
    solid = shapes.block(120.0, 100.0, 60.0)
    trimesh.Trimesh(solid.vertices, solid.triangles, process=False).export(tmp_path / "brick.stl")
    steps = [
        {"id": "s1", "operation": "import_sculpt", "parameters": {"unit": "mm"}},
        {"id": "s2", "operation": "cut_bore", "parameters": {"place": "at", "at": [0.0, 0.0]}},
    ]
    recipe = recipe_of({"format": 1, "steps": steps})
    done = replay(recipe, read_sculpt(tmp_path / "brick.stl"), catalogue=CATALOGUE)
    assert done.hold.find(Bore)
    assert done.joint is None
    assert "Trim base" in why_not_judged(done.hold)
    assert "Cut bore" in why_not_judged(replace(done.hold, features=()))


@pytest.mark.parametrize(
    ("changes", "wanted"),
    [
        ({"material": "cheese"}, "material 'cheese'"),
        ({"material": "TPU 95A"}, "do not tell what it bears"),
        ({"t_nut": "M8 pronged T-nut, barrel 9"}, "choose a T-nut of its thread"),
        ({"t_nut": "plain"}, "T-nut 'plain'"),
    ],
)
def test_what_cannot_be_judged_is_a_finding(judge: Judge, changes: dict[str, str], wanted: str) -> None:
    (finding,) = judge(STARTER.with_parameters("joint", changes))
    assert (finding.code, finding.severity) == ("joint_not_judged", "warning")
    assert wanted in finding.message
    assert finding.where is not None


def test_its_section_is_written_read_and_undone(tmp_path: Path) -> None:
    changed = STARTER.with_parameters("joint", {"torque": 15.0, "strength": "10.9"})
    save_recipe(changed, tmp_path / "r.json")
    assert load_recipe(tmp_path / "r.json") == changed != STARTER
    old = dump_recipe(STARTER)
    del old["joint"]
    assert recipe_of(old) == STARTER
    history = History.of(STARTER).changed(changed)
    assert history.undo_text == "torque 12 -> 15 N m, bolt class none -> 10.9"
    assert history.undone().recipe == STARTER


@pytest.mark.parametrize(
    ("section", "wanted"),
    [
        ({"parameters": {"torque": -1.0}}, "joint.parameters.torque"),
        ({"parameters": {"torque": "much"}}, "N m"),
        ({"parameters": {"glue": 1.0}}, "joint.parameters.glue"),
        ({"version": 99}, "newer Holdwright"),
        ({"torque": 3.0}, "joint.torque"),
        ([], "joint"),
    ],
)
def test_a_wrong_section_is_refused_with_its_path(section: object, wanted: str) -> None:
    with pytest.raises(RecipeError, match=wanted):
        recipe_of({**dump_recipe(STARTER), "joint": section})


def test_it_is_set_by_words() -> None:
    assert set_parameter(STARTER, "joint.material=PLA").joint.material == "PLA"
    assert set_parameter(STARTER, "joint.overhang=30").joint.overhang == 30.0
    for words in ("joint.glue=1", "joint.torque=0", "joint.overhang=91"):
        with pytest.raises(ParameterError, match="Section joint"):
            set_parameter(STARTER, words)


def test_the_window_forgets_a_verdict_when_a_step_fails(cache: Cache) -> None:
    path = sample_folder() / "hall-jug.obj"
    sent: list[object] = []
    for recipe in (STARTER, STARTER.with_parameters(BORE, {"place": "at", "at": (500.0, 500.0)})):
        made = WorkContext(recipe, path, lambda _: read_sculpt(path), CATALOGUE, cache, SILENT, sent.append)
        try:
            show_steps(made, StepsRequest())
        except HoldwrightError:
            assert recipe is not STARTER
    verdicts = [each for each in sent if isinstance(each, ShownJoint)]
    assert verdicts[0].findings
    assert not verdicts[1].findings
