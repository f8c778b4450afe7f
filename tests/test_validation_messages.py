"""Everything that can be wrong with a value of ours is told in our own words."""

from typing import Annotated, Any, Literal

import pytest
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from holdwright.validation_messages import shown, validation_message


class Inner(BaseModel):
    width: float = 1.0


class Shape(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False)

    width: Annotated[float, Field(gt=0.0, lt=100.0)] = 1.0
    depth: Annotated[float, Field(ge=0.5, le=9.0)] = 1.0
    count: int = 1
    even: Annotated[int, Field(multiple_of=2)] = 2
    name: Annotated[str, Field(min_length=1, max_length=5)] = "a"
    kind: Literal["round", "square"] = "round"
    place: tuple[float, float] = (0.0, 0.0)
    names: Annotated[list[str], Field(min_length=2, max_length=3)] = ["a", "b"]
    on: bool = True
    inner: Inner = Inner()
    rows: dict[str, float] = {}
    nothing: None = None


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"width": "12 cm"}, 'must be a number, but is "12 cm"'),
        ({"width": True}, "must be a number, but is true"),
        ({"width": 0}, "must be more than 0, but is 0"),
        ({"width": 100}, "must be less than 100, but is 100"),
        ({"width": float("inf")}, "must be a finite number, but is Infinity"),
        ({"depth": 0.25}, "must be at least 0.5, but is 0.25"),
        ({"depth": 9.5}, "must be at most 9, but is 9.5"),
        ({"count": 1.5}, "must be a whole number, but is 1.5"),
        ({"even": 3}, "must be a multiple of 2, but is 3"),
        ({"name": ""}, 'must not be blank, but is ""'),
        ({"name": "abcdef"}, 'must be text of at most 5 letters, but is "abcdef"'),
        ({"name": 3}, "must be text, but is 3"),
        ({"kind": "oval"}, "must be 'round' or 'square', but is \"oval\""),
        ({"place": (1.0, 2.0, 3.0)}, "must be a list of at most 2, but is [1.0, 2.0, 3.0]"),
        ({"place": (1.0,)}, "is missing"),
        ({"place": 3}, "must be a list, but is 3"),
        ({"names": ["a"]}, 'must be a list of at least 2, but is ["a"]'),
        ({"names": "a"}, 'must be a list, but is "a"'),
        ({"on": "yes"}, 'must be true or false, but is "yes"'),
        ({"inner": 3}, "must be a group of named values, but is 3"),
        ({"rows": 3}, "must be a group of named values, but is 3"),
        ({"nothing": 3}, "must be left empty, but is 3"),
        ({"colour": "red"}, "is not known here"),
    ],
)
def test_each_misfit_in_our_own_words(values: dict[str, Any], told: str) -> None:
    with pytest.raises(ValidationError) as caught:
        Shape(**values)
    assert validation_message(caught.value.errors()[0]) == told


def test_numbers_with_a_unit() -> None:
    for values, told in (
        ({"width": "12 cm"}, 'must be a plain number in mm, but is "12 cm"'),
        ({"width": 0}, "must be more than 0 mm, but is 0"),
    ):
        with pytest.raises(ValidationError) as caught:
            Shape(**values)
        assert validation_message(caught.value.errors()[0], "mm") == told


def test_long_values_are_shortened() -> None:
    with pytest.raises(ValidationError) as caught:
        Shape(width="9" * 500)
    assert len(validation_message(caught.value.errors()[0])) < 100


def test_what_no_encoding_can_write_is_shown_escaped():
    assert shown("s1\ud800") == '"s1\\ud800"'
