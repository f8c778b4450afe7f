"""The parameters of the trim."""

from typing import Annotated, Any, Final, Literal

from pydantic import Field

from holdwright.geometry.trim.cut_height import SPECK
from holdwright.parameters.kinds import Kind, Length, OnSculpt, Parameters, Relevant, Share

TRIM_BASE: Final = "trim_base"
"""Name of the operation."""


class TrimBaseParameters(Parameters):
    """Where the back is cut, and what its edge is like."""

    by: Literal["found", "one outline", "height"] = Field("found", title="Cut by")
    """Found: the back lies on the ground block's face or the plane given, else where it costs little and
    touches the wall well. One outline: the lowest height whose section is one outline that covers enough of
    the hold."""
    share: Annotated[Share, Relevant("by", ("one outline",))] = Field(0.6, title="Cover")
    """How much of the hold, seen on the wall, the back's outline shall cover."""
    height: Annotated[Length, OnSculpt(), Relevant("by", ("height",))] = Field(
        5.0, ge=0.0, le=1000.0, title="Cut height"
    )
    """Height of the cut above the lowest point."""
    rim: Length = Field(3.0, ge=0.0, le=100.0, title="Rim")
    """The outline at the cut is drawn straight toward the wall by this much."""
    least_outline: Annotated[float, Kind("number", "cm2")] = Field(
        0.5, ge=0.01, le=100.0, title="Least outline"
    )
    """Outlines of the cut of less than this area get no rim."""
    chamfer: Length = Field(0.0, ge=0.0, le=50.0, title="Back chamfer")
    """Leg of a 45 degree chamfer of the finished back's edge; less than the rim."""
    allowance: Length = Field(0.0, ge=0.0, le=20.0, title="Sanding stock")
    """Straight stock below the finished back, with the back's outline, to be sanded off."""


def as_one_outline(values: dict[str, Any]) -> dict[str, Any]:
    """Lead version 1 to 2, where `found` weighs what is lost and small outlines get no rim."""
    by = "one outline" if values.get("by", "found") == "found" else values["by"]
    return {**values, "by": by, "least_outline": SPECK / 100.0}
