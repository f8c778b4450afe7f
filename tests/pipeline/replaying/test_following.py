"""Places of a recipe follow a revised sculpt, each to where its place on the sculpt before is now."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from manifold3d import Manifold
from scipy.spatial.transform import Rotation

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import move_points, placement, scale_of
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.earlier_steps import EarlierStep
from holdwright.hold.feature import Bore, ScrewHole, TipCut
from holdwright.operations import known_operation
from holdwright.operations.base import Run
from holdwright.parameters.kinds import PointPick
from holdwright.pipeline.recipes.recipe import Recipe, Source
from holdwright.pipeline.recipes.recipe_file import read_recipe, recipe_text
from holdwright.pipeline.recipes.variants import Variant, variant_of
from holdwright.pipeline.replaying.cache import Cache
from holdwright.pipeline.replaying.following import followed
from holdwright.pipeline.replaying.remembering import memory_of, steps_of
from holdwright.pipeline.replaying.replay import Replay, replay
from recipes import plain_starter
from sculpts import piece, sculpt
from shapes import block, sphere

CATALOGUE = load_catalogue()
MOTION = placement(
    1.2 * Rotation.from_euler("zyx", [12.0, -20.0, 7.0], degrees=True).as_matrix(),
    np.array([30.0, 1.0, -2.0]),
)
APEX = np.array([-35.0, 20.0 - 34.0 * np.sin(np.radians(20.0)), 22.0 + 34.0 * np.cos(np.radians(20.0))])


def horned(horn: float = 34.0, at: float = -35.0, *, stroke: bool = False, dent: bool = False) -> Solid:
    """Give a plate with a lump and a horn there; with a stroke at its side, or dented where it is bored."""
    plate = block(120.0, 90.0, 50.0).kernel.translate((0.0, 0.0, -25.0))
    solid = plate + Manifold.cylinder(horn, 8.0, 0.4, 24).rotate((20.0, 0.0, 0.0)).translate((at, 20.0, 22.0))
    solid += sphere(14.0, 24).kernel.translate((40.0, -25.0, 25.0))
    if stroke:
        solid += sphere(16.0, 24).kernel.translate((64.0, 10.0, 0.0))
    if dent:
        solid -= sphere(24.0, 24).kernel.translate((-8.0, 0.0, 2.0))
    return Solid.checked(solid)


def sculpted(solid: Solid, name: str) -> Sculpt:
    return replace(sculpt(piece("lump", solid)), digest=name * 32)


def apex(below: float) -> PointPick:
    """Pick the tip of the first horn on the hold, 0.8 times the sculpt and so much lower, mm."""
    x, y, z = 0.8 * APEX + np.array([0.0, 0.0, 20.0 - below])
    return PointPick(point=(x, y, z), normal=(0.0, -0.34, 0.94))


def id_of(recipe: Recipe, operation: str) -> str:
    return next(step.id for step in recipe.steps if step.operation == operation)


@cache
def by_hand() -> Recipe:
    """Give a recipe with places of every kind, given on the hold of `horned()`."""
    recipe = plain_starter()
    for name in ("cut_screw_hole", "engrave_back"):
        recipe = recipe.inserted(known_operation(name))
    places = {
        "orient_to_base": {"by": "face", "face": PointPick(point=(0.0, 0.0, -25.0), normal=(0.0, 0.0, -1.0))},
        "trim_base": {"by": "height", "height": 4.0},
        "chamfer_tips": {"leave_out": (apex(below=1.0),)},
        "cut_bore": {"place": "at", "at": (4.0, 3.0)},
        "cut_screw_hole": {"place": "at", "at": (30.0, 20.0)},
        "engrave_back": {"text": "B", "place": "at", "at": (-20.0, -20.0)},
        "split_core": {"along": "point", "at": (4.0, 3.0), "wall_diameter": 40.0},
    }
    for name, changes in places.items():
        recipe = recipe.with_parameters(id_of(recipe, name), changes)
    return recipe.with_parameters("s1", {"unit": "mm"})


def last(recipe: Recipe) -> str:
    """Name the last step that tells something here: the joint is judged of whole recipes alone."""
    return id_of(recipe, "split_core" if recipe == by_hand() else "cut_screw_hole")


@cache
def before(recipe: Recipe) -> tuple[Replay, Source]:
    """Replay on the first sculpt, and give what is remembered of it."""
    kept, first = Cache(), sculpted(horned(), "a")
    done = replay(recipe, first, catalogue=CATALOGUE, cache=kept, until=last(recipe))
    run = Run(CATALOGUE, cache=kept.of_operations)
    memory = memory_of(first, done.results[0].hold, recipe.steps[0].parameters, run)
    return done, Source("lump.obj", "", memory, steps_of(done.results))


def revised(recipe: Recipe, solid: Solid, name: str = "b") -> Replay:
    """Replay on another sculpt, which is laid on the first."""
    ready = recipe.with_source(before(recipe)[1])
    return replay(ready, sculpted(solid, name), catalogue=CATALOGUE, cache=Cache(), until=last(recipe))


def between(recipe: Recipe, after: Replay) -> Floats:
    """Give what leads from the first finished hold to the other, the same place of the sculpt on itself."""
    old, new = before(recipe)[0].hold, after.hold
    return new.placement @ np.linalg.inv(new.laid) @ np.linalg.inv(old.placement)


def codes(done: Replay, step: str) -> dict[str, float | None]:
    return {finding.code: finding.measured for by, finding in done.findings_by_step if by == step}


@pytest.mark.parametrize("moved", [False, True])
def test_every_place_given_by_hand_lies_where_it_lay_on_the_sculpt(moved: bool):
    recipe, grown = by_hand(), horned(stroke=True)
    done = revised(recipe, grown.moved(MOTION) if moved else grown)
    matrix = between(recipe, done)
    assert 0.8 < scale_of(matrix) < 0.97, "the envelope makes what stayed of the sculpt smaller"
    for kind in (Bore, ScrewHole):
        (old,), (new,) = before(recipe)[0].hold.find(kind), done.hold.find(kind)
        there = move_points(matrix, np.array([old.x, old.y, 0.0]))
        assert (new.x, new.y) == pytest.approx(there[:2], abs=0.02)
        assert np.hypot(new.x - old.x, new.y - old.y) > 1.0
    steps = {step.id: step.parameters for step in recipe.steps}
    for name in ("cut_bore", "cut_screw_hole", "engrave_back", "split_core"):
        result = next(each for each in done.results if each.operation == name)
        was = np.array([*steps[result.id].at, 0.0])
        now = move_points(matrix, was)
        assert result.followed["at"] == pytest.approx(now[:2], abs=0.02)
        assert codes(done, result.id)["places_followed"] == pytest.approx(
            np.hypot(*(now - was)[:2]), abs=0.02
        )
    assert not done.hold.find(TipCut), "the tip to leave alone is left alone"
    assert "leave_out_unused" not in codes(done, id_of(recipe, "chamfer_tips"))
    wider = codes(done, id_of(recipe, "scale_to_envelope"))["scaled_since"]
    extent = next(
        each for each in done.results if each.operation == "scale_to_envelope"
    ).hold.whole.size.max()
    assert wider == pytest.approx(extent * (1.0 - scale_of(matrix)), rel=1e-2)


def test_on_the_same_sculpt_moved_alone_nothing_is_written_anew():
    recipe = by_hand()
    done = revised(recipe, horned().moved(MOTION))
    assert not any(result.followed for result in done.results)
    told = {finding.code for finding in done.findings}
    assert not {"places_followed", "scaled_since", "back_turned_since", "back_moved_since"} & told
    assert "sculpt_brought_back" in told


def test_a_cut_height_follows_and_the_hold_has_its_size_all_the_same():
    """The foot lowers the lowest point, and a stroke at the side makes all smaller: the cut stays its own."""
    recipe, step = by_hand(), id_of(by_hand(), "trim_base")
    foot = block(40.0, 30.0, 12.0).kernel.translate((0.0, 0.0, -33.0))
    deeper = Solid.checked(horned(stroke=True).kernel + foot)
    done = revised(recipe, deeper)
    matrix = between(recipe, done)
    assert move_points(matrix, np.zeros(3))[2] == pytest.approx(3.0 * (1.0 - scale_of(matrix)), abs=0.02)
    height = next(each for each in done.results if each.id == step).followed["height"]
    assert height == pytest.approx(scale_of(matrix) * (4.0 + 8.0 * 0.8), abs=0.02)
    told = codes(done, step)
    assert told["places_followed"] == pytest.approx(height - 4.0, abs=0.01)
    assert "size_departs" not in told
    own = recipe.with_source(before(recipe)[1])
    for result in done.results:
        own = followed(own, result.id, result.followed)
    own = own.with_parameters(step, {"height": height + 1.0})
    again = replay(own, sculpted(deeper, "b"), catalogue=CATALOGUE, cache=Cache(), until=step)
    (told,) = (finding for finding in again.results[-1].findings if finding.code == "back_moved_since")
    assert told.measured == pytest.approx(1.0, abs=0.3)
    assert told.message.startswith(f"At a cut height of {height + 1.0:.1f} mm the back is cut ")


def test_how_far_the_hold_is_turned_on_the_wall_is_told_as_directions_stay():
    recipe, step = by_hand(), id_of(by_hand(), "orient_to_base")
    turned = recipe.with_parameters(step, {"turn": 12.0}).with_source(before(recipe)[1])
    other = sculpted(horned(stroke=True), "b")
    done = replay(turned, other, catalogue=CATALOGUE, cache=Cache(), until=step)
    told = codes(done, step)
    assert told["turned_on_wall_since"] == pytest.approx(12.0, abs=0.05)
    assert told["back_turned_since"] == pytest.approx(12.0, abs=0.05)
    assert "turned_on_wall_since" not in codes(revised(recipe, horned(stroke=True)), step)


def test_places_once_written_for_the_sculpt_are_not_moved_again():
    recipe = by_hand().with_source(before(by_hand())[1])
    other = sculpted(horned(stroke=True), "b")
    once = replay(recipe, other, catalogue=CATALOGUE, cache=Cache())
    for result in once.results:
        recipe = followed(recipe, result.id, result.followed)
    again = replay(recipe, other, catalogue=CATALOGUE, cache=Cache())
    assert not any(result.followed for result in again.results)
    volumes = [{name: solid.volume for name, solid in each.hold.solids.items()} for each in (once, again)]
    assert volumes[1] == pytest.approx(volumes[0], rel=1e-6)
    assert read_recipe(recipe_text(recipe)).source.earlier_steps == recipe.source.earlier_steps


def test_places_of_a_sculpt_that_is_another_one_stay_as_written():
    done = revised(
        by_hand(), Solid.checked(Manifold.cylinder(75.0, 50.0, 50.0, 48).translate((0.0, 0.0, -25.0)))
    )
    assert not any(result.followed for result in done.results)
    assert done.hold.laid is None


def test_a_variant_goes_by_what_is_remembered_of_the_plain_hold():
    recipe, source = by_hand(), before(by_hand())[1]
    grown = sculpted(horned(stroke=True), "b")
    plain = replay(recipe.with_source(source), grown, catalogue=CATALOGUE, cache=Cache())
    (there,) = plain.hold.find(Bore)
    for variant, factor in (
        (Variant(mirror=True), (-1.0, 1.0)),
        (Variant(size=160.0), (4.0 / 3.0, 4.0 / 3.0)),
    ):
        made = replay(
            variant_of(recipe.with_source(source), variant), grown, catalogue=CATALOGUE, cache=Cache()
        )
        (here,) = made.hold.find(Bore)
        assert (here.x, here.y) == pytest.approx((factor[0] * there.x, factor[1] * there.y), abs=0.3)


@cache
def found() -> Recipe:
    recipe = plain_starter().inserted(known_operation("cut_screw_hole"))
    return recipe.with_parameters("s1", {"unit": "mm"})


@pytest.mark.parametrize("operation", ["cut_bore", "cut_screw_hole"])
def test_a_hole_stays_where_it_was_found_while_that_is_sound(operation: str):
    recipe, kind = found(), Bore if operation == "cut_bore" else ScrewHole
    step = id_of(recipe, operation)
    changed = horned(stroke=True) if kind is Bore else horned(at=-30.0)
    done = revised(recipe, changed)
    (old,), (new,) = before(recipe)[0].hold.find(kind), done.hold.find(kind)
    there = move_points(between(recipe, done), np.array([old.x, old.y, 0.0]))
    assert (new.x, new.y) == pytest.approx(there[:2], abs=0.03)
    assert "place_moved" not in codes(done, step)
    assert next(each for each in steps_of(done.results) if each.id == step).kept
    anew = recipe.with_parameters(step, {"revised": "search"}).with_source(before(recipe)[1])
    searched = replay(anew, sculpted(changed, "b"), catalogue=CATALOGUE, cache=Cache(), until=step)
    (elsewhere,) = searched.hold.find(kind)
    away = np.hypot(elsewhere.x - there[0], elsewhere.y - there[1])
    assert codes(searched, step).get("place_moved", 0.0) == pytest.approx(
        away if away > 0.1 else 0.0, abs=0.05
    )


def test_a_bore_is_searched_anew_where_its_margin_is_lost():
    recipe = found()
    step = id_of(recipe, "cut_bore")
    done = revised(recipe, horned(dent=True))
    (old,), (new,) = before(recipe)[0].hold.find(Bore), done.hold.find(Bore)
    there = move_points(between(recipe, done), np.array([old.x, old.y, 0.0]))
    told = next(f for by, f in done.findings_by_step if by == step and f.code == "place_moved")
    assert told.measured == pytest.approx(np.hypot(new.x - there[0], new.y - there[1]), abs=0.05)
    assert " is 0." in told.message


def test_a_kept_bore_stays_when_the_recipe_is_opened_again():
    recipe = found()
    changed = horned(stroke=True)
    done = revised(recipe, changed)
    kept = Cache()
    run = Run(CATALOGUE, cache=kept.of_operations, earlier=before(recipe)[1].made_with)
    second = sculpted(changed, "b")
    memory = memory_of(second, done.results[0].hold, recipe.steps[0].parameters, run)
    assert memory.digest == second.digest, "it lies where the first one lay"
    source = Source("lump.obj", "", memory, steps_of(done.results))
    again = replay(recipe.with_source(source), second, catalogue=CATALOGUE, cache=kept, until=last(recipe))
    for kind in (Bore, ScrewHole):
        (one,), (other,) = done.hold.find(kind), again.hold.find(kind)
        assert (one.x, one.y) == pytest.approx((other.x, other.y), abs=0.01)


def test_the_back_stays_on_its_side_though_another_is_likelier_now():
    """Dents in the back, and horn and lump are gone: the likeliest side would be the other one."""
    dent = Manifold.cylinder(12.0, 20.0, 20.0, 48)
    dents = dent.translate((-32.0, 12.0, -30.0)) + dent.translate((32.0, 12.0, -30.0))
    solid = Solid.checked(horned().kernel.trim_by_plane((0.0, 0.0, -1.0), -25.0) - dents)
    recipe = found()
    step = id_of(recipe, "orient_to_base")
    first = before(recipe)[1]
    plain = replay(recipe, sculpted(solid, "b"), catalogue=CATALOGUE, cache=Cache(), until=step)
    assert plain.hold.placement[2, 2] < 0.0, "turned over"
    ready = recipe.with_source(first)
    kept = replay(ready, sculpted(solid, "b"), catalogue=CATALOGUE, cache=Cache(), until=step)
    assert kept.hold.placement[2, 2] > 0.0
    assert "back_kept" in codes(kept, step)
    rank = kept.results[-1].followed["rank"]
    written = followed(ready, step, kept.results[-1].followed)
    again = replay(written, sculpted(solid, "b"), catalogue=CATALOGUE, cache=Cache(), until=step)
    assert (again.hold.placement == kept.hold.placement).all()
    other = written.with_parameters(step, {"rank": 3 - rank})
    turned = replay(other, sculpted(solid, "b"), catalogue=CATALOGUE, cache=Cache(), until=step)
    assert turned.hold.placement[2, 2] < 0.0, "a candidate chosen afterwards is taken"


def test_tips_are_matched_to_those_of_the_sculpt_before():
    recipe = found().with_parameters(id_of(found(), "cut_bore"), {"place": "at"})
    step = id_of(recipe, "chamfer_tips")
    (cut,) = before(recipe)[0].hold.find(TipCut)
    bent = revised(recipe, horned(at=-30.0))
    (moved,) = bent.hold.find(TipCut)
    there = move_points(between(recipe, bent), np.array(cut.place))
    assert codes(bent, step)["tip_moved_since"] == pytest.approx(np.linalg.norm(moved.place - there), abs=0.1)
    gone = revised(recipe, horned(1.0))
    assert not gone.hold.find(TipCut)
    assert "tip_uncut_since" in codes(gone, step)
    pick = apex(below=0.0)
    for changes, left in (({"leave_out": (pick,)}, 0), ({"tips": "picked", "picks": (pick,)}, 1)):
        chosen = recipe.with_parameters(step, changes)
        done = revised(chosen, horned(at=-30.0))
        assert len(done.hold.find(TipCut)) == left
        told = codes(done, step)
        assert told["tip_followed"] == pytest.approx(4.0, abs=0.4)
        assert not {"pick_moved", "pick_faces_away", "leave_out_unused"} & told.keys()


def test_what_is_remembered_of_steps_is_short_and_read_as_written():
    recipe = by_hand().with_source(before(by_hand())[1])
    again = read_recipe(recipe_text(recipe))
    assert again.source.earlier_steps == recipe.source.earlier_steps
    frames = [step.id for step in again.source.earlier_steps if step.frame is not None]
    moving = ("import_sculpt", "orient_to_base", "scale_to_envelope", "trim_base")
    assert frames == [id_of(recipe, name) for name in moving]
    assert EarlierStep("s1").found == ()
