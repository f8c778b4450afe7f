from dataclasses import dataclass
from typing import ClassVar

from pydantic import TypeAdapter

from holdwright.field_texts import add_field_texts, field_texts


@dataclass(frozen=True)
class Slab:
    __pydantic_config__: ClassVar = {"json_schema_extra": add_field_texts}

    width: float
    """Across, in
    mm."""
    depth: float


@dataclass(frozen=True)
class Block(Slab):
    height: float = 1.0
    """Above the wall."""


def test_fields_are_described_by_the_texts_below_them_and_those_of_the_classes_before() -> None:
    assert field_texts(Block) == {"width": "Across, in\nmm.", "height": "Above the wall."}
    fields = TypeAdapter(Block).json_schema()["properties"]
    assert {name: field.get("description") for name, field in fields.items()} == {
        "width": "Across, in\nmm.",
        "depth": None,
        "height": "Above the wall.",
    }


def test_a_class_without_source_has_no_texts() -> None:
    assert field_texts(type("Unwritten", (), {})) == {}
