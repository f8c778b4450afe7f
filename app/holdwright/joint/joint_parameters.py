"""What a recipe's joint is judged for: how the bolt is tightened, into what wall, and who hangs on it."""

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from holdwright.parameters.kinds import Angle, ChoiceTexts, Kind, Length, Rows, SectionParameters, Share
from holdwright.ranges import Range

TORQUE = 12.0
"""N m; 10 to 18 is usual for a printed seat under a large washer: common practice, no source."""

LEAST = (0.2, 0.2)
"""On a roof one still swings along the wall; before an upright wall one whose weight hangs 0.3 m off it, with
hands 1.5 m above the feet, pulls outward by 0.3 / 1.5 of it. Our own statics; measures common practice, no
source."""


PRINTED = Range(0.7, 0.82, 0.95)
"""Strength of what is printed solid by that of moulded material: common practice, no source."""


class JointParameters(SectionParameters):
    """Judges the bolted joint of the finished hold; alters no shape."""

    name: ClassVar[str] = "joint"
    title: ClassVar[str] = "Joint"

    torque: Annotated[float, Kind("number", "N m")] = Field(TORQUE, gt=0.0, le=200.0, title="Torque")
    """How hard the bolt is tightened."""
    material: Annotated[str, Rows("materials")] = Field("PETG", title="Material")
    """What the hold is printed in."""
    printed: Share = Field(PRINTED.likely, gt=0.0, title="Printed strength")
    """Strength of what is printed solid, as a share of the moulded material's, along its layers."""
    across_layers: Share = Field(1.0, gt=0.0, title="Across layers")
    """Strength across the layers as a share of that, where core or washer would shear out; 1: no weaker."""
    panel: Annotated[str, Rows("panels")] = Field("18 mm plywood", title="Panel")
    """What the hold is bolted to."""
    mass: Annotated[float, Kind("number", "kg")] = Field(80.0, gt=0.0, le=500.0, title="Climber")
    """Mass of the climber."""
    factor: Annotated[float, Kind("number")] = Field(2.0, gt=0.0, le=20.0, title="Load factor")
    """How many times the climber's weight acts: 1 hanging still, more in a hard pull or a jump."""
    overhang: Angle = Field(0.0, ge=0.0, le=90.0, title="Wall leans")
    """How far the wall leans over: 0 is upright, 90 a roof."""
    mounting: Annotated[Literal["any", "up"], ChoiceTexts(("any way up", "this way up"))] = Field(
        "any", title="Mounted"
    )
    """Any way up: holds are turned, so that they are pulled from every side. This way up: from within 45
    degrees of straight down."""
    least_along: Share = Field(LEAST[0], gt=0.0, title="Least along wall")
    """Share of the load that acts along the wall at least, even on a roof."""
    least_outward: Share = Field(LEAST[1], title="Least outward")
    """Share of the load that acts away from the wall at least, even on an upright one."""
    friction: Annotated[str, Rows("frictions")] = Field("plywood", title="Wall surface")
    """Friction between hold and wall."""
    nut_factor: Annotated[str, Rows("nut_factors")] = Field("zinc plated", title="Bolt finish")
    """How much of the torque becomes pull."""
    strength: Annotated[str, Rows("strengths")] | None = Field(None, title="Bolt class")
    """Strength of the bolt; none: 8.8, of an inch bolt grade 5."""
    t_nut: Annotated[str, Rows("t_nuts")] | None = Field(None, title="T-nut")
    """What the bolt goes into; none: the first in the tables with its thread."""
    behind: Length = Field(20.0, ge=0.0, le=1000.0, title="Free behind panel")
    """Free space behind the panel."""
    wood_screw: Annotated[str, Rows("wood_screws")] = Field("5 mm countersunk wood screw", title="Wood screw")
    """What keeps the hold from turning where friction does not."""


USUAL = JointParameters()
"""What a joint is judged for unless the recipe says otherwise."""
