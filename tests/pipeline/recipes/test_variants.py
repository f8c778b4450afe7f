from functools import cache

import numpy as np
import pytest
import trimesh
from manifold3d import Manifold

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import ParameterError, RecipeError
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore, Rim
from holdwright.operations import known_operation
from holdwright.parameters.kinds import PointPick
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.recipes.variants import Variant, variant_of
from holdwright.pipeline.replaying.replay import Replay, replay
from recipes import plain_starter
from sculpts import piece, sculpt
from shapes import block

CATALOGUE = load_catalogue()


def id_of(recipe: Recipe, operation: str) -> str:
    return next(step.id for step in recipe.steps if step.operation == operation)


def leaning() -> Recipe:
    """Give a recipe whose places and directions are all off the middle."""
    recipe = plain_starter()
    bore = {"place": "at", "at": (12.0, 5.0), "tilt": 6.0, "toward": 20.0}
    recipe = recipe.with_parameters(id_of(recipe, "cut_bore"), bore)
    recipe = recipe.with_parameters(id_of(recipe, "orient_to_base"), {"turn": 10.0})
    tips = {"leave_out": (PointPick(point=(30.0, 1.0, 20.0), normal=(1.0, 0.0, 0.0)),)}
    return recipe.with_parameters(id_of(recipe, "chamfer_tips"), tips)


@cache
def finished(recipe: Recipe) -> Replay:
    """Replay on a foot with a post at one side: no symmetry to hide a mistake behind."""
    foot = piece("foot", block(100.0, 80.0, 40.0))
    post = block(30.0, 20.0, 30.0).moved(placement(shift=np.array([30.0, 20.0, 35.0])))
    return replay(recipe, sculpt(foot, piece("post", post)), catalogue=CATALOGUE)


def body(result: Replay, part: str) -> trimesh.Trimesh:
    solid = result.hold.solids[part]
    return trimesh.Trimesh(solid.vertices, solid.triangles, process=False)


def test_the_other_hand_is_the_mirror_image_of_the_finished_hold():
    # Volume, centroid and moments by trimesh, a second library.
    one, other = finished(leaning()), finished(variant_of(leaning(), Variant(mirror=True)))
    flip = np.diag([-1.0, 1.0, 1.0])
    for part in ("shell", "core"):
        left, right = body(one, part), body(other, part)
        assert right.volume == pytest.approx(left.volume, rel=1e-6)
        np.testing.assert_allclose(right.center_mass, flip @ left.center_mass, atol=1e-3)
        np.testing.assert_allclose(
            right.moment_inertia, flip @ left.moment_inertia @ flip, atol=1e-5 * left.moment_inertia.max()
        )
        assert abs(left.center_mass[0]) > 1.0


def test_mirrored_twice_it_is_the_recipe_itself():
    twice = variant_of(variant_of(leaning(), Variant(mirror=True)), Variant(mirror=True))
    assert twice == leaning()


def test_another_size_scales_the_sculpt_and_never_the_bolt():
    # Both bolts: clearance hole and pocket of ISO 273 and ISO 7094 whatever the size.
    large = variant_of(leaning(), Variant(size=180.0))
    one, other = finished(leaning()), finished(large)
    (small_bore,), (large_bore,) = one.hold.find(Bore), other.hold.find(Bore)
    assert large_bore.clearance_diameter == small_bore.clearance_diameter
    assert large_bore.pocket_diameter == small_bore.pocket_diameter
    assert (large_bore.x, large_bore.y) == pytest.approx((1.5 * small_bore.x, 1.5 * small_bore.y))
    size = [body(each, "shell").extents[:2] for each in (one, other)]
    assert size[1] == pytest.approx(1.5 * size[0], rel=1e-4)
    trim = [
        step.parameters for each in (leaning(), large) for step in each.steps if step.operation == "trim_base"
    ]
    assert trim[0] == trim[1]


def test_a_cut_at_a_height_goes_through_the_sculpt_where_it_did():
    """On a cone what is left of its depth tells where it was cut."""
    cone = Solid.checked(Manifold.cylinder(60.0, 60.0, 20.0, 64))
    recipe = plain_starter().with_parameters(
        id_of(plain_starter(), "trim_base"), {"by": "height", "height": 9.0}
    )
    step = id_of(recipe, "trim_base")
    depth = []
    for each in (recipe, variant_of(recipe, Variant(size=180.0))):
        done = replay(each, sculpt(piece("cone", cone)), catalogue=CATALOGUE, until=step)
        depth.append(done.hold.whole.bounds[1, 2] - done.hold.find(Rim)[0].height)
    assert depth[1] == pytest.approx(1.5 * depth[0], rel=1e-6)
    twice = variant_of(variant_of(recipe, Variant(size=180.0)), Variant(size=120.0))
    assert twice.step(step).parameters.height == pytest.approx(9.0)


def test_a_box_keeps_its_sides_in_proportion():
    recipe = plain_starter()
    step = id_of(recipe, "scale_to_envelope")
    recipe = recipe.with_parameters(step, {"rule": "box", "box_x": 100.0, "box_y": 50.0, "box_z": 0.0})
    box = variant_of(recipe, Variant(size=200.0)).step(step).parameters.model_dump()
    assert (box["box_x"], box["box_y"], box["box_z"]) == (200.0, 100.0, 0.0)


def test_what_stands_in_braces_is_engraved_as_the_variant_has_it():
    engrave = known_operation("engrave_back")
    texts = {"text": "{name} {hand}", "revision": "No {number}", "date": "{size}"}
    recipe = plain_starter().inserted(engrave)
    recipe = recipe.with_parameters(id_of(recipe, "engrave_back"), texts)
    variant = Variant(mirror=True, size=160.0, name="Ram", number=7, size_name="L")
    made = variant_of(recipe, variant).step(id_of(recipe, "engrave_back")).parameters
    assert made.lines == ["Ram {hand}", "No 7", "L"], "the hand is told by the hold itself"
    plain = variant_of(recipe, Variant()).step(id_of(recipe, "engrave_back")).parameters
    assert plain.lines == ["{name} {hand}", "No {number}", "{size}"]
    with pytest.raises(ParameterError, match=r"\{colour\} in it, but nothing is known to put there"):
        recipe.with_parameters(id_of(recipe, "engrave_back"), {"text": "{colour}"})


def test_the_name_is_engraved_where_one_is():
    engrave = known_operation("engrave_back")
    recipe = plain_starter().inserted(engrave)
    named = variant_of(recipe, Variant(name="Jug L"))
    assert named.step(id_of(named, "engrave_back")).parameters.model_dump()["text"] == "Jug L"
    assert variant_of(plain_starter(), Variant(name="Jug L")) == plain_starter()


def test_what_a_recipe_cannot_be_is_said():
    recipe = plain_starter()
    factor = recipe.with_parameters(id_of(recipe, "scale_to_envelope"), {"rule": "factor"})
    with pytest.raises(RecipeError, match="plain factor; let it scale to a circle"):
        variant_of(factor, Variant(size=100.0))
    bare = recipe.removed(id_of(recipe, "orient_to_base"))
    with pytest.raises(RecipeError, match="cannot be mirrored: it has no step orient_to_base; add one"):
        variant_of(bare, Variant(mirror=True))
