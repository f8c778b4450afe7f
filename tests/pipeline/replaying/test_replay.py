from pathlib import Path
from typing import Any

import numpy as np
import pytest

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import Cancelled, GeometryError, HoldwrightError, RecipeError
from holdwright.hold.feature import Bore, Envelope, Feature, GroundBlock, PartingFace, Rim, TipCut
from holdwright.hold.finding import Finding
from holdwright.hold.hold import Hold
from holdwright.operations.base import Outcome
from holdwright.pipeline.parameter_reading import UnknownParameters
from holdwright.pipeline.recipes.recipe import Recipe, Step
from holdwright.pipeline.replaying.cache import Cache, weight_of
from holdwright.pipeline.replaying.key import step_key
from holdwright.pipeline.replaying.replay import Replay, replay, replay_steps
from holdwright.pipeline.replaying.store import Store
from holdwright.progress import Progress
from pipeline.toys import TOYS, Clip, ClipParameters, GrowParameters, put, sculpt, toys, write_all
from recipes import new_recipe
from shapes import block

__all__ = ["toys"]
pytestmark = pytest.mark.usefixtures("toys")

BRING, GROW, CLIP = TOYS
NO_TABLES: Any = object()


def toy_recipe(height: float = 5.0) -> Recipe:
    recipe = new_recipe().inserted(GROW)
    recipe = recipe.inserted(CLIP, ClipParameters(height=height))
    return recipe.inserted(CLIP, ClipParameters(height=20))


def run(recipe: Recipe, **options: Any) -> Replay:
    return replay(recipe, options.pop("sculpt", sculpt()), catalogue=NO_TABLES, **options)


def assert_same(one: Outcome | Hold | Replay, other: Any) -> None:
    """Compare what matters of two holds: never how their triangles lie."""
    if isinstance(one, Hold):
        assert set(one.solids) == set(other.solids)
        for name, solid in one.solids.items():
            assert solid.volume == pytest.approx(other.solids[name].volume, rel=1e-12)
            np.testing.assert_allclose(solid.bounds, other.solids[name].bounds, atol=1e-9)
        assert one.features == other.features
        assert one.sized == other.sized
        np.testing.assert_array_equal(one.placement, other.placement)
    else:
        assert_same(one.hold, other.hold)
        assert one.findings == other.findings


def test_steps_are_done_in_order_and_measured() -> None:
    result = run(toy_recipe())
    assert [each.id for each in result.results] == ["s1", "s2", "s3", "s4"]
    assert [each.result for each in result.results] == [
        "1 piece",
        "factor 2",
        "clipped at 5",
        "clipped at 20",
    ]
    volumes = [each.measures.volume_mm3 for each in result.results if each.measures]
    assert volumes == pytest.approx([100 * 80 * 40, 200 * 160 * 80, 200 * 160 * 75, 200 * 160 * 60])
    measures = result.results[-1].measures
    assert measures is not None
    np.testing.assert_allclose(measures.bounds_mm, [(-100, -80, 20), (100, 80, 80)])
    assert len(result.findings) == 2
    assert {what for each in result.results for what in each.searches} == {"factor"}


def test_a_step_switched_off_is_passed_over() -> None:
    recipe = toy_recipe()
    result = run(recipe.toggled("s2"))
    assert [each.enabled for each in result.results] == [True, False, True, True]
    assert result.results[1].hold is result.results[0].hold
    shorter = run(recipe.removed("s2"))
    assert result.results[-1].key == shorter.results[-1].key
    assert result.hold.whole.volume == pytest.approx(100 * 80 * 20)


def test_with_the_first_step_off_there_is_nothing_to_measure_and_the_next_says_so() -> None:
    steps = replay_steps(toy_recipe().toggled("s1"), sculpt(), catalogue=NO_TABLES)
    assert next(steps).measures is None
    assert next(steps).measures is None
    with pytest.raises(GeometryError, match="no sculpt was imported"):
        next(steps)


def test_a_failing_step_is_named_and_those_before_it_are_there() -> None:
    steps = replay_steps(toy_recipe(13), sculpt(), catalogue=NO_TABLES)
    assert [next(steps).id, next(steps).id] == ["s1", "s2"]
    with pytest.raises(GeometryError, match=r"^Step 3 \(s3, Clip\): Nothing is left") as caught:
        next(steps)
    assert caught.value.exit_code == 4


def test_an_unknown_operation_is_refused_before_any_work_unless_switched_off() -> None:
    recipe = toy_recipe()
    polish = Step("s9", "polish", 1, UnknownParameters())
    recipe = Recipe(None, (*recipe.steps, polish))
    Clip.applied.clear()
    with pytest.raises(RecipeError, match=r"step s9 \(polish\)"):
        run(recipe)
    assert Clip.applied == []
    assert not run(recipe.toggled("s9")).results[-1].enabled
    assert len(run(recipe, until="s4").results) == 4


def test_a_replay_stops_where_asked() -> None:
    assert [each.id for each in run(toy_recipe(), until="s3").results] == ["s1", "s2", "s3"]
    with pytest.raises(RecipeError, match="no step s8"):
        run(toy_recipe(), until="s8")


def test_progress_runs_from_nought_to_one_and_can_stop_the_work() -> None:
    heard: list[tuple[float, str]] = []
    run(toy_recipe(), progress=Progress(lambda share, text: heard.append((share, text))))
    assert heard[0] == (0.0, "Bring in")
    assert heard[-1][0] == 1.0
    assert heard == sorted(heard, key=lambda entry: entry[0])
    with pytest.raises(Cancelled):
        run(toy_recipe(), progress=Progress(cancelled=lambda: True))


def test_keys_follow_all_that_a_result_depends_on(monkeypatch: pytest.MonkeyPatch) -> None:
    def key(height: float = 80, before: str = "a", washer: str = "M10") -> str:
        return step_key(
            before, CLIP, ClipParameters(height=height, washer=washer), Catalogue.__new__(Catalogue)
        )

    assert key(80) == key(80.0)
    assert len({key(), key(81), key(before="b"), key(washer="M8")}) == 4
    old = key()
    monkeypatch.setattr(Clip, "width", 21.0)
    changed_row = key()
    monkeypatch.setattr(Clip, "version", 2)
    assert len({old, changed_row, key()}) == 3


def test_a_remembered_replay_equals_a_fresh_one() -> None:
    cache = Cache()
    first = run(toy_recipe(), cache=cache)
    Clip.applied.clear()
    again = run(toy_recipe(), cache=cache)
    assert [each.cached for each in again.results] == [True] * 4
    assert Clip.applied == []
    assert_same(first, again)
    edited = run(toy_recipe().with_parameters("s4", {"height": 30}), cache=cache)
    assert [each.cached for each in edited.results] == [True, True, True, False]
    assert_same(edited, run(toy_recipe().with_parameters("s4", {"height": 30})))
    other = run(toy_recipe(), cache=cache, sculpt=sculpt(90))
    assert not any(each.cached for each in other.results)


def test_memory_stays_within_its_budget_and_drops_the_oldest() -> None:
    outcome = Outcome(Hold().with_whole(block()))
    cache = Cache(budget=2 * weight_of(outcome))
    for key in "ab":
        cache.put(key, outcome)
    cache.get("a")
    cache.put("c", outcome)
    assert [cache.get(key) is not None for key in "bac"] == [False, True, True]
    assert cache.weight == 2 * weight_of(outcome)
    cache.put("a", outcome)
    assert cache.weight == 2 * weight_of(outcome)
    small = Cache(budget=1)
    small.put("a", outcome)
    assert small.weight == 0


FEATURES: tuple[Feature, ...] = (
    GroundBlock((0.1, 0.2, 1 / 3), (0.0, 0.0, 1.0), "ground"),
    Envelope("box", (100.0, 0.0, 50.0), 119.7, (100.0, 80.0, 40.0), 1.7, 0.4),
    Rim(3.0, 0.5, 0.4, 8400.0, 1, 0),
    TipCut((1.0, 2.0, 3.0), (0.0, 1.0, 0.0), 4.0, 12.5),
    Bore(1.0, 2.0, (0.0, 0.0, 1.0), 11.0, 22.0, 18.0, 18.0, "M10x60", None),
    PartingFace(1.0, 2.0, (0.0, 0.0, 1.0), 60.0, 50.0, 25.0),
)


def test_a_folder_remembers_everything_across_programs(tmp_path: Path) -> None:
    findings = (Finding("thin", "error", "Thin.", 1 / 3, 0.5, "mm", (1.0, 2.0, 0.1), "Thicker."),)
    placement = np.eye(4) * 1.1
    hold = Hold(features=FEATURES, placement=placement, sized=True).with_parts(
        {"shell": block(), "core": block(9)}
    )
    outcome = Outcome(hold, findings, "two parts")
    put(Store(tmp_path / "kept"), "k", outcome)
    found = Cache(store=Store(tmp_path / "kept")).get("k")
    assert found is not None
    assert_same(outcome, found)
    assert found.result == "two parts"


def test_a_replay_from_a_folder_equals_a_fresh_one(tmp_path: Path) -> None:
    store = Store(tmp_path)
    first = run(toy_recipe(), cache=Cache(store=store))
    write_all(store)
    again = run(toy_recipe(), cache=Cache(store=Store(tmp_path)))
    assert [each.cached for each in again.results] == [True] * 4
    assert_same(first, again)


@pytest.mark.parametrize(
    "damage", [b"", b"rubbish", b"PK\x03\x04", None], ids=["empty", "text", "zip", "cut"]
)
def test_a_damaged_file_counts_as_absent_and_goes(damage: bytes | None, tmp_path: Path) -> None:
    put(Store(tmp_path), "k", Outcome(Hold().with_whole(block())))
    path = tmp_path / "k.npz"
    path.write_bytes(path.read_bytes()[:-300] if damage is None else damage)
    assert Store(tmp_path).get("k") is None
    assert not path.exists()


def test_a_folder_keeps_to_its_budget(tmp_path: Path) -> None:
    outcome = Outcome(Hold().with_whole(block()))
    put(Store(tmp_path), "a", outcome)
    size = (tmp_path / "a.npz").stat().st_size
    store = Store(tmp_path, budget=int(2.5 * size))
    for key in "bcd":
        put(store, key, outcome)
    assert len(list(tmp_path.iterdir())) == 2
    assert store.get("d") is not None


def test_a_disk_that_refuses_costs_nothing_but_time(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    store = Store(tmp_path / "file" / "folder")
    assert_same(run(toy_recipe(), cache=Cache(store=store)), run(toy_recipe()))
    write_all(store)
    assert store.get("k") is None


def test_the_hold_after_growing_keeps_its_parameters_class() -> None:
    with pytest.raises(HoldwrightError):
        toy_recipe().with_parameters("s2", {"factor": 0})
    assert isinstance(toy_recipe().step("s2").parameters, GrowParameters)
