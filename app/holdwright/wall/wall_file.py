"""Walls as files: panels, their T-nuts, and where holds hang."""

import os
from pathlib import Path
from typing import Any, Final

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from holdwright.errors import ParameterError, RecipeError
from holdwright.parameters.kinds import Count, Length, Parameters
from holdwright.pipeline.parameter_reading import problems_of
from holdwright.pipeline.strict_json import read_text, strict_json

MOST_T_NUTS: Final = 20_000
"""Of a wall that is still drawn at once; a hall 60 m long and 6 m high has half as many."""

FORMAT: Final = 1
"""The format of wall files this program reads and writes."""


class _FilePart(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class PanelGrid(Parameters):
    """Panels beside and above each other, all alike. Usual figures: common practice."""

    columns: Count = Field(1, ge=1, le=50, title="Panels across")
    """Panels beside each other."""
    rows: Count = Field(1, ge=1, le=50, title="Panels up")
    """Panels above each other."""
    width: Length = Field(1220.0, ge=100.0, le=10_000.0, title="Panel width")
    """Of each panel."""
    height: Length = Field(2440.0, ge=100.0, le=10_000.0, title="Panel height")
    """Of each panel."""
    thickness: Length = Field(18.0, ge=3.0, le=100.0, title="Thickness")
    """Of each panel; bolts must reach through it."""


class TNutGrid(Parameters):
    """T-nuts of each panel. Measure yours."""

    pitch_x: Length = Field(200.0, ge=20.0, le=2000.0, title="Pitch across")
    """From one T-nut to the next in a row."""
    pitch_y: Length = Field(200.0, ge=20.0, le=2000.0, title="Pitch up")
    """From row to row."""
    edge_x: Length = Field(110.0, ge=0.0, le=2000.0, title="From left edge")
    """From the panel's left edge to the first T-nut of a row."""
    edge_y: Length = Field(120.0, ge=0.0, le=2000.0, title="From the foot")
    """From the panel's lower edge to the first row."""
    stagger: bool = Field(False, title="Staggered")
    """Shifts every second row by half a pitch."""
    flange: Length = Field(36.0, ge=5.0, le=200.0, title="Flange")
    """Diameter of a T-nut behind the panel, kept free of screws."""


class Margins(_FilePart):
    """What is looked at, mm. Common practice, no source."""

    between: float = Field(5.0, ge=0.0, le=1000.0, description="Least clear width between two holds.")
    seam: float = Field(20.0, ge=0.0, le=1000.0, description="From a wood screw to a panel's edge, at least.")
    nearest: float = Field(100.0, ge=0.0, le=10_000.0, description="Least distance of two neighbours' bolts.")
    reach: float = Field(800.0, ge=50.0, le=10_000.0, description="Most distance to a hold's next neighbour.")


class PlacedEntry(_FilePart):
    """A hold on the wall."""

    hold: str = Field(min_length=1, max_length=200, description="Its name in the set.")
    t_nut: str = Field(pattern=r"^[A-Z]{1,3}[1-9][0-9]{0,3}$", description='Column and row, as "C5".')
    turn: float = Field(0.0, ge=-360.0, le=360.0, description="Degrees, counter-clockwise from the front.")


class ClimbingWall(_FilePart):
    """A wall as it stands in a file. x runs to the right and y up, from its lower left corner."""

    format: int = Field(FORMAT, ge=1, le=FORMAT, strict=True)
    name: str = Field("", max_length=100)
    panels: PanelGrid = PanelGrid()
    t_nuts: TNutGrid = TNutGrid()
    margins: Margins = Margins()
    set_folder: str = Field(
        "", max_length=2000, description="Of the finished set that hangs on it; from the wall's file."
    )
    placed: tuple[PlacedEntry, ...] = Field(
        (), max_length=10_000, description="The first hangs lowest on top."
    )

    @model_validator(mode="after")
    def _of_a_size(self) -> "ClimbingWall":
        panels, grid = self.panels, self.t_nuts
        across = panels.columns * (panels.width // grid.pitch_x + 1.0)
        if (number := across * panels.rows * (panels.height // grid.pitch_y + 1.0)) > MOST_T_NUTS:
            raise ParameterError(
                f"The wall would have about {number:,.0f} T-nuts, but {MOST_T_NUTS:,} are the most; make it "
                "smaller, or the pitch wider."
            )
        return self


def load_wall(path: Path) -> ClimbingWall:
    """Read a wall's file.

    Raises
    ------
    RecipeError
        When it cannot be read, or with every problem found in it.
    ParameterError
        When it has too many T-nuts.
    """
    content: Any = strict_json(read_text(path, "wall"), str(path))
    if not isinstance(content, dict) or not content.keys() & {"panels", "t_nuts", "placed"}:
        raise RecipeError(f"{path} holds no wall: it should be a JSON object with format, panels and t_nuts.")
    try:
        return ClimbingWall.model_validate(content)
    except ValidationError as error:
        raise RecipeError(problems_of(error, names=list(ClimbingWall.model_fields))) from None


def folder_from(folder: Path, beside: Path) -> str:
    """Name a set's folder as a wall's file in the folder `beside` does, with slashes on any system."""
    try:
        return Path(os.path.relpath(folder.absolute(), beside.absolute())).as_posix()
    except ValueError:  # on another drive
        return folder.absolute().as_posix()
