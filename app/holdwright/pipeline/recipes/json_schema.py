"""JSON schemas of recipes and of every operation's parameters, made from their declarations."""

import json
from typing import Any, Final

from holdwright import operations
from holdwright.parameters.describe import schema_of
from holdwright.pipeline.recipes.recipe import SECTIONS
from holdwright.pipeline.recipes.recipe_entries import RecipeEntry, StepEntry
from holdwright.pipeline.recipes.set_file import SetEntry
from holdwright.resources import resource_folder

DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"


def recipe_schema() -> dict[str, Any]:
    """Give the JSON schema of a recipe's file.

    It checks a step's parameters by the step's operation at its present version; what concerns several steps,
    such as their order, is checked in reading alone.
    """
    schema = RecipeEntry.model_json_schema()
    step = StepEntry.model_json_schema()
    shared = schema.setdefault("$defs", {})
    branches = []
    for operation in operations.OPERATIONS:
        parameters = schema_of(operation.parameters)
        shared |= parameters.pop("$defs", {})
        shared[operation.name] = {"description": operation.summary, **parameters}
        shown = {"operation": {"const": operation.name}, "version": {"const": operation.version}}
        then = {"properties": {"parameters": {"$ref": f"#/$defs/{operation.name}"}}}
        branches.append({"if": {"properties": shown, "required": ["operation"]}, "then": then})
    shared["step"] = {**step, "allOf": branches}
    entry = shared.pop("SectionEntry")
    for name, section in SECTIONS.items():
        properties = {**entry["properties"], "parameters": schema_of(section)}
        schema["properties"][name] |= {"$ref": f"#/$defs/{name}"}
        shared[name] = {
            **entry,
            "description": section.__doc__,
            "properties": properties,
            "title": section.title,
        }
    schema["properties"]["steps"] |= {"items": {"$ref": "#/$defs/step"}, "minItems": 1}
    return {"$schema": DIALECT, **schema, "title": "Recipe"}


def set_schema() -> dict[str, Any]:
    """Give the JSON schema of a set's file."""
    return {"$schema": DIALECT, **SetEntry.model_json_schema(), "title": "Set"}


def schema_texts() -> dict[str, str]:
    """Give name and text of every schema file."""
    schemas = {"recipe.json": recipe_schema(), "set.json": set_schema()}
    for operation in operations.OPERATIONS:
        schema = schema_of(operation.parameters)
        schemas[f"{operation.name}.json"] = {"$schema": DIALECT, **schema, "title": operation.title}
    for name, section in SECTIONS.items():
        schemas[f"{name}.json"] = {"$schema": DIALECT, **schema_of(section), "title": section.title}
    return {name: json.dumps(schema, indent=2, ensure_ascii=False) + "\n" for name, schema in schemas.items()}


def write_schemas() -> None:
    """Write every schema file where it ships from, and remove those of operations that are no more."""
    folder = resource_folder() / "schema"
    folder.mkdir(parents=True, exist_ok=True)
    texts = schema_texts()
    for path in folder.glob("*.json"):
        if path.name not in texts:
            path.unlink()
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    write_schemas()
