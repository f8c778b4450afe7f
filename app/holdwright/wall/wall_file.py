"""Walls as files: panels, their T-nuts, and where holds hang."""

from pathlib import Path
from typing import Any, Final

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from holdwright.errors import RecipeError
from holdwright.pipeline.parameter_reading import problems_of
from holdwright.pipeline.strict_json import read_text, strict_json

FORMAT: Final = 1
"""The format of wall files this program reads and writes."""


class _FilePart(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class PanelGrid(_FilePart):
    """Panels beside and above each other, all alike; lengths in mm. Usual figures: common practice."""

    columns: int = Field(1, ge=1, le=50, description="Panels beside each other.")
    rows: int = Field(1, ge=1, le=50, description="Panels above each other.")
    width: float = Field(1220.0, ge=100.0, le=10_000.0, description="Of a panel.")
    height: float = Field(2440.0, ge=100.0, le=10_000.0, description="Of a panel.")
    thickness: float = Field(18.0, ge=3.0, le=100.0, description="Of a panel; bolts must reach through it.")


class TNutGrid(_FilePart):
    """T-nuts of each panel; lengths in mm. Measure yours."""

    pitch_x: float = Field(200.0, ge=20.0, le=2000.0, description="From one to the next in a row.")
    pitch_y: float = Field(200.0, ge=20.0, le=2000.0, description="From row to row.")
    edge_x: float = Field(110.0, ge=0.0, le=2000.0, description="From the panel's left edge to the first.")
    edge_y: float = Field(
        120.0, ge=0.0, le=2000.0, description="From the panel's lower edge to the first row."
    )
    stagger: bool = Field(False, description="Whether every second row is shifted by half a pitch.")
    flange: float = Field(
        36.0, ge=5.0, le=200.0, description="Diameter behind the panel, kept free of screws."
    )


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
    placed: tuple[PlacedEntry, ...] = Field(
        (), max_length=10_000, description="The first hangs lowest on top."
    )


def load_wall(path: Path) -> ClimbingWall:
    """Read a wall's file.

    Raises
    ------
    RecipeError
        When it cannot be read, or with every problem found in it.
    """
    content: Any = strict_json(read_text(path, "wall"), str(path))
    if not isinstance(content, dict) or not content.keys() & {"panels", "t_nuts", "placed"}:
        raise RecipeError(f"{path} holds no wall: it should be a JSON object with format, panels and t_nuts.")
    try:
        return ClimbingWall.model_validate(content)
    except ValidationError as error:
        raise RecipeError(problems_of(error, names=list(ClimbingWall.model_fields))) from None
