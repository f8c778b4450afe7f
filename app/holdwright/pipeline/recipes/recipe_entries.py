"""A recipe as it stands in a file: what may be written where, and what it means."""

import re
from typing import Annotated, Any, Final, TypeVar

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field

from holdwright.hold.earlier_steps import Frame
from holdwright.parameters.kinds import MOST_ENTRIES
from holdwright.validation_messages import shown

FORMAT: Final = 1
"""The format of recipe files this program reads and writes."""

LONGEST_PATH: Final = 4096
MOST_STEPS: Final = 1000
LONGEST_POINTS: Final = 1_000_000


class _FilePart(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


def _file_name(text: str) -> str:
    if not 0 < len(text) <= LONGEST_PATH or "\0" in text:
        raise ValueError(f"must name a file, in at most {LONGEST_PATH:,} letters, but is {shown(text)}")
    return text


def _numbers(values: Any) -> Any:
    """Take a list, as JSON has it, for the tuple that is kept."""
    return tuple(values) if isinstance(values, list) else values


T = TypeVar("T")
_Listed = Annotated[tuple[T, ...], BeforeValidator(_numbers)]
_Corner = Annotated[tuple[float, float, float], BeforeValidator(_numbers)]


class EarlierEntry(_FilePart):
    """What is remembered of the sculpt that the recipe's places are meant for."""

    digest: str = Field(
        description="Of its file; blank where it was brought back to where one before it lay."
    )
    origin: _Corner = Field(description="What was taken off its coordinates, file units.")
    low: _Corner
    high: _Corner = Field(description="With low: corners of the box round its points, from the origin on.")
    points: str = Field(
        max_length=LONGEST_POINTS,
        description="Points and normals, base64: three 16-bit shares of the box and three signed bytes each.",
    )
    scale: float | None = Field(None, gt=0.0, description="What the import multiplied its lengths by.")


class EarlierStepEntry(_FilePart):
    """How a step was done on that sculpt."""

    id: str = Field(max_length=20, description="Of the step.")
    frame: Annotated[Frame | None, BeforeValidator(_numbers)] = Field(
        None,
        description="Upper three rows of the placement that leads from the sculpt to the hold as the step "
        "left it; absent where the step before left it there.",
    )
    followed: bool = Field(
        False, description="Whether the step's places are written for another sculpt by now."
    )
    found: _Listed[_Corner] = Field(
        (),
        max_length=MOST_ENTRIES,
        description="Places that the step found by itself, on the hold as it left it, mm.",
    )
    kept: bool = Field(False, description="Whether these had been kept from the sculpt before that.")


class SourceEntry(_FilePart):
    """The sculpt a recipe was made for."""

    # The length is not left to pydantic, which refuses names that are no UTF-8 when it counts.
    path: Annotated[str, AfterValidator(_file_name)] = Field(
        description="File of the sculpt, relative to the recipe's folder.", json_schema_extra={"minLength": 1}
    )
    digest: str = Field("", description="Digest of the sculpt file's bytes (blake2b, 16 bytes, hexadecimal).")
    made_with: EarlierEntry | None = Field(
        None, description="What a revised sculpt is laid on; absent where nothing is remembered."
    )
    earlier_steps: _Listed[EarlierStepEntry] = Field(
        (), max_length=MOST_STEPS, description="How the steps were done on what is remembered."
    )


_STEP_ID: Final = r"^s[1-9][0-9]{0,5}$"


def _step_id(text: str) -> str:
    if not re.fullmatch(_STEP_ID, text):
        raise ValueError(f'must be an "s" and a number, such as "s4", but is {shown(text)}')
    return text


class StepEntry(_FilePart):
    """One step as it stands in a file."""

    id: Annotated[
        str,
        AfterValidator(_step_id),
        Field(description='"s1", "s2" and so on, unique.', json_schema_extra={"pattern": _STEP_ID}),
    ]
    operation: str = Field(min_length=1, description="Name of the operation.")
    version: int = Field(1, ge=1, description="Version of the operation its parameters are for.")
    enabled: bool = Field(True, description="Whether a replay does the step.")
    note: str = Field("", description="The maker's own words.")
    parameters: dict[str, Any] = Field({}, description="Those left out take their defaults.")


class SectionEntry(_FilePart):
    """What the finished hold is judged or printed for, as it stands in a file."""

    version: int = Field(1, ge=1, description="Version of the section that its parameters are for.")
    parameters: dict[str, Any] = Field({}, description="Those left out take their defaults.")


class RecipeEntry(_FilePart):
    """A recipe as it stands in a file; its steps are looked at one by one."""

    format: int = Field(ge=1, le=FORMAT, description="Format of the file.")
    source: SourceEntry | None = Field(None, description="The sculpt; absent in a recipe for any sculpt.")
    steps: list[Any] = Field(max_length=MOST_STEPS)
    joint: SectionEntry = Field(SectionEntry(), description="What the finished hold's joint is judged for.")
    print: SectionEntry = Field(SectionEntry(), description="How the finished hold is printed.")
