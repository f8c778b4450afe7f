import json

import jsonschema
import pytest

from holdwright.pipeline.recipes.json_schema import recipe_schema, schema_texts
from holdwright.pipeline.recipes.recipe_file import dump_recipe, find_recipe, load_recipe, shipped_recipes
from holdwright.resources import resource_folder
from pipeline.toys import TOYS, toys
from recipes import new_recipe

__all__ = ["toys"]


def test_the_schema_files_are_current() -> None:
    # Where this fails: python -m holdwright.pipeline.recipes.json_schema
    folder = resource_folder() / "schema"
    written = {path.name: path.read_text(encoding="utf-8") for path in folder.glob("*.json")}
    assert written == schema_texts()


@pytest.mark.usefixtures("toys")
def test_the_recipe_schema_takes_a_recipe_and_refuses_a_wrong_value() -> None:
    schema = recipe_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    recipe = new_recipe()
    for operation in TOYS[1:]:
        recipe = recipe.inserted(operation)
    content = dump_recipe(recipe)
    jsonschema.validate(content, schema)
    content["steps"][2]["parameters"]["height"] = -1
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(content, schema)


@pytest.mark.parametrize("name", shipped_recipes())
def test_shipped_recipes_fit_the_schema_and_with_a_step_misspelt_do_not(name: str) -> None:
    validator = jsonschema.Draft202012Validator(recipe_schema())
    content = dump_recipe(load_recipe(find_recipe(name)))
    assert validator.is_valid(content)
    assert content["steps"]
    for step in content["steps"]:
        step["parameters"]["colour"] = "red"
        assert not validator.is_valid(content), step["operation"]
        del step["parameters"]["colour"]


@pytest.mark.parametrize("name", shipped_recipes())
def test_shipped_recipes_can_be_read_and_name_every_parameter(name: str) -> None:
    path = find_recipe(name)
    recipe = load_recipe(path)
    assert json.loads(path.read_text()) == dump_recipe(recipe)
