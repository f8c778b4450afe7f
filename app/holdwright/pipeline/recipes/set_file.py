"""Sets as files: which sculpts become which holds, how many of each, by which recipes."""

import re
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Annotated, Any, Final

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError

from holdwright.errors import RecipeError
from holdwright.pipeline.parameter_reading import Problem, problems_of
from holdwright.pipeline.recipes.variants import ENVELOPES, Variant
from holdwright.pipeline.strict_json import read_text, refuse_newer, strict_json
from holdwright.validation_messages import shown

FORMAT: Final = 1
"""The format of set files this program reads."""

MOST_HOLDS: Final = 10_000

_NAME: Final = r"[^\x00-\x1f/\\:*?\"<>|]{1,100}"
"""What any disk takes for the name of a folder."""


def _name(text: str) -> str:
    if not re.fullmatch(_NAME, text) or text.strip(" .") != text:
        raise ValueError(
            f'must be a name of 1 to 100 letters, without / \\ : * ? " < > |, but is {shown(text)}'
        )
    return text


def _size(size: str | float | None) -> str | float | None:
    if isinstance(size, str) and size not in ENVELOPES:
        raise ValueError(f"must be one of {', '.join(ENVELOPES)}, or mm, but is {shown(size)}")
    if isinstance(size, float) and not 1.0 <= size <= 5000.0:
        raise ValueError(f"must be from 1 to 5000 mm, but is {size:g}")
    return size


Envelope = Annotated[float, Field(ge=1.0, le=5000.0)]


class _FilePart(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class HoldEntry(_FilePart):
    """One hold of a set as it stands in a file."""

    sculpt: str = Field(min_length=1, max_length=4096, description="Its file, relative to the set's folder.")
    recipe: str = Field(
        "starter",
        min_length=1,
        max_length=4096,
        description="A recipe's file, relative to the set's folder, or the name of one that ships.",
    )
    name: Annotated[str, AfterValidator(_name)] | None = Field(
        None, description="Of the hold and its folder; by sculpt, hand and size where left out."
    )
    count: int = Field(1, ge=1, le=1000, description="How many of it are wanted.", strict=True)
    mirror: bool = Field(False, description="Whether it is the other hand's, left for right.", strict=True)
    size: Annotated[str | float | None, AfterValidator(_size)] = Field(
        None, description="XS to XXL, or the envelope in mm; the recipe's own where left out."
    )


class SetEntry(_FilePart):
    """A set as it stands in a file; its holds are looked at one by one."""

    format: int = Field(ge=1, le=FORMAT, description="Format of the file.", strict=True)
    name: str = Field("", max_length=100, description="What the set is called; its file's name if blank.")
    sizes: dict[str, Envelope] = Field(
        dict(ENVELOPES), description="Envelope of each size by its name, mm, in place of the usual ones."
    )
    holds: list[HoldEntry] = Field(min_length=1, max_length=MOST_HOLDS)


@dataclass(frozen=True)
class PlannedHold:
    """One hold of a set."""

    name: str
    """Its own in the set, and its folder's."""
    sculpt: Path
    recipe: str
    """File of the recipe, or the name of one that ships."""
    variant: Variant
    size_name: str
    """The size as it was asked for: its name, or mm; blank for the recipe's own."""
    count: int


@dataclass(frozen=True)
class HoldSet:
    """A set of holds."""

    name: str
    holds: tuple[PlannedHold, ...]


def load_set(path: Path) -> HoldSet:
    """Read a set's file.

    Raises
    ------
    RecipeError
        When it cannot be read, or with every problem found in it. Sculpts and recipes are not looked at yet.
    """
    return read_set(strict_json(read_text(path, "set"), str(path)), path)


def read_set(content: Any, path: Path) -> HoldSet:
    """Make a set of plain JSON values; `path` is the file they are from."""
    if not isinstance(content, dict) or "holds" not in content:
        raise RecipeError(f"{path} holds no set: it should be a JSON object with format and holds.")
    refuse_newer(content, FORMAT, str(path))
    if isinstance(content["holds"], list) and not content["holds"]:
        raise RecipeError(f"{path} lists no holds; add one with sculpt and recipe.")
    try:
        entry = SetEntry.model_validate(content)
    except ValidationError as error:
        raise RecipeError(problems_of(error, names=list(SetEntry.model_fields))) from None
    if twice := list(_named_twice(entry)):
        raise RecipeError(twice)
    sizes = {**ENVELOPES, **entry.sizes}
    names = _names(entry.holds)
    holds = tuple(
        _planned(each, name, number, sizes, path.parent)
        for number, (each, name) in enumerate(zip(entry.holds, names, strict=True), 1)
    )
    return HoldSet(entry.name or path.stem, holds)


def _named_twice(entry: SetEntry) -> list[Problem]:
    first: dict[str, int] = {}
    problems = []
    for place, hold in enumerate(entry.holds):
        name = (hold.name or "").casefold()
        if name and name in first:
            there = f"holds[{first[name]}]"
            problems.append(
                (f"holds[{place}].name", f"is {shown(hold.name)}, as that of {there}; names must differ")
            )
        first.setdefault(name, place)
    return problems


def _names(holds: list[HoldEntry]) -> list[str]:
    """Name each hold: as it says, or by sculpt, hand and size, equal ones numbered from the second on."""
    taken = {hold.name.casefold() for hold in holds if hold.name}
    names = []
    for hold in holds:
        name = hold.name
        if not name:
            base = "-".join(
                part for part in (Path(hold.sculpt).stem, "mirrored" * hold.mirror, _size_text(hold)) if part
            )
            numbered = (base if number == 1 else f"{base}-{number}" for number in count(1))
            name = next(each for each in numbered if each.casefold() not in taken)
            taken.add(name.casefold())
        names.append(name)
    return names


def _size_text(hold: HoldEntry) -> str:
    return f"{hold.size:g}" if isinstance(hold.size, float) else hold.size or ""


def _planned(hold: HoldEntry, name: str, number: int, sizes: dict[str, float], folder: Path) -> PlannedHold:
    recipe = folder / hold.recipe
    size = sizes[hold.size] if isinstance(hold.size, str) else hold.size
    return PlannedHold(
        name,
        folder / hold.sculpt,
        str(recipe) if recipe.is_file() else hold.recipe,
        Variant(hold.mirror, size, name, number, _size_text(hold)),
        _size_text(hold),
        hold.count,
    )
