"""What a recipe's hold is printed with: printer, nozzle, layers, and how shell and core are filled."""

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from holdwright.parameters.kinds import (
    Angle,
    ChoiceTexts,
    Count,
    Kind,
    Length,
    Percent,
    Rows,
    SectionParameters,
)

Price = Annotated[float, Kind("number", "a kg")]


class PrintParameters(SectionParameters):
    """Says how the hold is printed; alters no shape."""

    name: ClassVar[str] = "print"
    title: ClassVar[str] = "Print"

    machine: Annotated[str, Rows("machines")] = Field("350 mm printer, open", title="Printer")
    """What the hold is printed on."""
    nozzle: Length = Field(1.0, ge=0.1, le=3.0, title="Nozzle")
    """Width of the nozzle's opening."""
    line_width: Length = Field(1.0, ge=0.1, le=6.0, title="Line width")
    """Width of a printed line."""
    layer_height: Length = Field(0.4, ge=0.04, le=2.0, title="Layer height")
    """Height of a layer: at most 0.8 of the nozzle."""
    shell_material: Annotated[str, Rows("materials")] = Field("PETG", title="Material of the shell")
    """What the shell is printed in."""
    core_material: Annotated[str, Rows("materials")] = Field("PETG", title="Material of the core")
    """What the core is printed in."""
    passes: Count = Field(2, ge=0, le=50, title="Passes along outlines")
    """Lines along each outline; two of 1 mm make a wall of 2 mm."""
    top_layers: Count = Field(4, ge=0, le=100, title="Solid layers on top")
    """Solid layers under every face that looks up."""
    bottom_layers: Count = Field(4, ge=0, le=100, title="Solid layers below")
    """Solid layers over every face that looks down; 0 leaves the infill open on the back, for grip."""
    shell_infill: Percent = Field(35.0, ge=0.0, le=100.0, title="Infill of the shell")
    """Share of the shell's inside that is filled."""
    core_infill: Percent = Field(100.0, ge=0.0, le=100.0, title="Infill of the core")
    """Share of the core's inside that is filled."""
    infill_pattern: Literal["gyroid", "cubic"] = Field("gyroid", title="Pattern of the infill")
    """How infill is laid; the strength goes by it. Patterns that give way in some direction, as grids do, are
    not offered."""
    print_direction: Annotated[
        Literal["z", "x", "y"], ChoiceTexts(("back on the bed", "on its side", "on its lower edge"))
    ] = Field("z", title="Printed")
    """How it stands as it prints. The strength alone goes by it: files, layers and estimates always have the
    back on the bed."""
    shell_price: Price | None = Field(None, ge=0.0, le=10_000.0, title="Price of the shell's filament")
    """Price of a kilogram; none: what the tables have, in euro."""
    core_price: Price | None = Field(None, ge=0.0, le=10_000.0, title="Price of the core's filament")
    """Price of a kilogram; none: what the tables have, in euro."""
    filament: Length = Field(1.75, ge=1.0, le=5.0, title="Filament diameter")
    """Diameter of the filament."""
    shrinkage: Literal["as typed", "of the material"] = Field("as typed", title="Shrinkage allowance")
    """What files are made larger by. As typed: the percentage of Scale to envelope. Of the material: for each
    part the middle of what the tables have."""

    wall_lines: Count = Field(2, ge=1, le=20, title="Lines in the least wall")
    """Walls of fewer lines are told of."""
    limit_angle: Angle = Field(45.0, ge=0.0, le=90.0, title="Least slope")
    """Slope from level down to which a face that looks down prints without support."""
    widest_bridge: Length = Field(20.0, ge=0.0, le=500.0, title="Widest bridge")
    """Free width that a line spans in the air from side to side."""
    flat_within: Length = Field(0.2, ge=0.0, le=10.0, title="Back flat within")
    """How far the finished back may be from a plane."""

    use: Literal["hand", "foot"] = Field("hand", title="Held by")
    """What holds on to it: hands bear edges less than shoes."""
    edge_radius: Length | None = Field(None, ge=0.1, le=20.0, title="Least rounding")
    """Edges and tips sharper than this are told of; none: 1 mm for hands, 0.5 mm for feet."""
    finger_from: Length = Field(8.0, ge=3.0, le=100.0, title="Finger traps from")
    """Least width of gaps that a finger may be caught in."""
    finger_to: Length = Field(25.0, ge=4.0, le=200.0, title="Finger traps to")
    """Greatest width of gaps that a finger may be caught in."""
    finger_depth: Length = Field(15.0, ge=0.0, le=200.0, title="Deepest gap")
    """Narrow gaps deeper than this are told of."""

    @property
    def least_radius(self) -> float:
        """Radius below which an edge is too sharp, mm: common practice, no source."""
        return self.edge_radius or (1.0 if self.use == "hand" else 0.5)


USUAL = PrintParameters()
"""Nozzle 1.0, layers 0.4, two passes, shell 35 %, core solid: a rule of thumb for holds; common practice, no
source."""
