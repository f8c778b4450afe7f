"""What a report says of one finished hold: the figures, and what deserves a look.

All lengths are mm, areas mm2, volumes mm3, in the frame of the hold: x to the right and y up on the wall, z
away from it, the finished back at z = 0. Sizes are those of the finished hold; files are in print size.
"""

import json
from typing import Any, Final, Literal, Self

from pydantic import BaseModel, ConfigDict, Field
from pydantic_core import from_json, to_json

from holdwright.export.pose import ExportPose
from holdwright.field_texts import add_field_texts
from holdwright.hold.feature import Collar, Engraving, PartingFace, ScrewHole, TipCut
from holdwright.hold.finding import Point
from holdwright.hold.piece_account import Counted
from holdwright.printing.allowances import Allowances

FORMAT: Final = 2
"""Raised when the meaning of a key changes."""

Bounds = tuple[Point, Point]


class Section(BaseModel):
    """Base of all parts of a report."""

    model_config = ConfigDict(frozen=True, extra="forbid", json_schema_extra=add_field_texts)

    @classmethod
    def of(cls, *declared: object, **values: Any) -> Self:
        """Take every field but those in `values` from the first object that has an attribute of its name."""
        for name in cls.model_fields.keys() - values.keys():
            values[name] = next(getattr(each, name) for each in declared if hasattr(each, name))
        return cls(**values)


class SculptSection(Section):
    """The sculpt's file."""

    name: str = Field(description="Name of the hold: the file's, without its ending.")
    file: str = Field(description="Name of the file.")
    format: str = Field(description="Format of the file.")
    digest: str = Field(description="Digest of the file's bytes: blake2b, 16 bytes, hexadecimal.")
    unit: str | None = Field(description="Unit the file itself declares.")
    triangles: int = Field(description="Triangles read.")
    notes: tuple[str, ...] = Field(description="What the reader had to drop or decide.")


class RecipeSection(Section):
    """The recipe as it was replayed, changes for this run included."""

    name: str = Field(description="Name of the recipe.")
    digest: str = Field(description="Equal for equal recipes, whichever their sculpt: blake2b, 16 bytes.")
    content: dict[str, Any] = Field(description="The recipe itself, as in a recipe file.")


class DistanceSection(Section):
    """Distances from points spread over one surface to the other."""

    largest_mm: float
    mean_mm: float


class ApartSection(Section):
    """How far a piece of the sculpt and the solid made of it are from each other, both ways."""

    sculpt_to_solid: DistanceSection = Field(description="What lies inside the solid counts as none.")
    solid_to_sculpt_outside_fills: DistanceSection = Field(description="Filled holes apart.")


class PieceSection(Section):
    """A connected piece of the sculpt and what import made of it, as large as on the finished hold."""

    name: str
    triangles: int = Field(description="Triangles read.")
    size_mm: Point = Field(description="Extent along the file's axes.")
    left_out: bool = Field(description="Whether it is no part of the hold.")
    reason: str = Field(description="Why it is left out; blank where it is not.")
    grade: str = Field(description="as sculpted, mended, rebuilt; no solid where none can be made of it.")
    problem: str = Field(description="Why it bounds no solid; blank where it does.")
    done: tuple[str, ...] = Field(description="What was done to it, in clauses.")
    counted: tuple[Counted, ...] = Field(description="The same where it can be counted.")
    overlap_share: float = Field(description="Share of its volume that it enclosed twice.")
    anew_share: float = Field(description="Share of the solid's surface that was made anew on a grid.")
    distance: ApartSection | None = Field(description="Null without a solid.")
    volume_before_mm3: float | None = Field(description="As it came; null where it was not closed.")
    volume_after_mm3: float | None = Field(description="Of the solid; null without one.")


class StepSection(Section):
    """One step of the replay."""

    id: str
    operation: str
    title: str
    enabled: bool = Field(description="Whether the step was done.")
    seconds: float = Field(description="Time the step took, searches included.")
    searches: dict[str, float] = Field(description="Seconds for each search within the step.")
    cached: bool = Field(description="Whether the result was remembered and not made.")
    result: str = Field(description="One line of figures.")
    volume_mm3: float | None = Field(description="Volume after the step; none while there is no solid.")
    bounds_mm: Bounds | None = Field(description="Least and greatest corner after the step.")


class Size(Section):
    """How large a hold is."""

    size_mm: Point = Field(description="Extent along x, y and z.")
    circle_mm: float = Field(description="Diameter of the smallest circle round the silhouette on the wall.")


class EnvelopeRequest(Section):
    """The envelope requested."""

    rule: str = Field(description="What was to be held: circle, box, width, height, depth or factor.")
    values: tuple[float, ...]
    """In mm; for a box along x, y, z (0: no limit); a bare factor."""


class EnvelopeSection(Section):
    """The size requested, and the size reached."""

    asked: EnvelopeRequest | None = Field(description="None where the recipe scales to no envelope.")
    scaled: Size | None = Field(description="Right after scaling, before anything was cut.")
    factor: float | None = Field(description="What lengths were multiplied by.")
    finished: Size = Field(description="After the last step, depth from the finished back.")


class RimSection(Section):
    """The flat back and the straight edge round it."""

    height: float = Field(description="Height of the straight rim above the finished back.")
    allowance: float = Field(description="Sanding stock below the finished back.")
    chamfer: float = Field(description="Leg of the chamfer of the back edge.")
    area_mm2: float = Field(description="Area of the finished back.")
    islands: int = Field(description="Separate outlines of the back.")
    holes: int = Field(description="Holes in those outlines.")


class BoreSection(Section):
    """A bolt's hole with seat and pocket."""

    x: float
    y: float
    axis: Point = Field(description="Unit vector from the back outward.")
    clearance_diameter: float
    pocket_diameter: float
    seat_z: float = Field(description="Height of the seat above the finished back.")
    thickness_under_seat: float = Field(description="Least thickness between seat and finished back.")
    screw: str
    washer: str | None
    tilt_deg: float = Field(description="How far the axis leans from square to the wall, degrees.")
    cone_angle: float | None
    """Full angle of the countersink in degrees; null for a flat seat."""
    slot: float = Field(description="How much longer than wide hole and pocket are; 0 for round ones.")
    slot_along: Point = Field(description="Unit vector along which they are longer.")
    allowance: float = Field(description="What both diameters are wider by, as holes print narrow.")


class PocketSection(Section):
    """The pocket that relieves the back."""

    depth: float = Field(description="From the finished back to its ceiling.")
    land: float = Field(description="Width of the land along the outline of the back.")
    area_mm2: float = Field(description="Area of the pocket.")


class FeaturesSection(Section):
    """What was cut into the hold."""

    rim: RimSection | None
    bores: tuple[BoreSection, ...]
    screw_holes: tuple[ScrewHole, ...]
    tips: tuple[TipCut, ...]
    partings: tuple[PartingFace, ...]
    collars: tuple[Collar, ...]
    back_pocket: PocketSection | None
    engravings: tuple[Engraving, ...]


class SolidSection(Section):
    """One solid: exact figures in true size, and how its surface is as written."""

    volume_mm3: float
    area_mm2: float
    triangles: int = Field(description="Triangles as written.")
    closed: bool = Field(
        description="Whether, as written and with equal vertices made one, no triangle is without area and "
        "every edge is used equally often in both directions."
    )
    contact_edges: int = Field(description="Edges used more than twice: the surface touches itself there.")
    pieces: int = Field(description="Connected surfaces as written.")
    bounds_mm: Bounds
    files: tuple[str, ...] = Field(description="Names of the files that hold it.")


class FindingSection(Section):
    """Something that deserves a look."""

    step: str = Field(description="Id of the step that found it.")
    code: str
    severity: Literal["note", "warning", "error"]
    message: str
    measured: float | None
    limit: float | None
    unit: str
    where: Point | None
    advice: str


class FileSection(Section):
    """A file written."""

    name: str
    bytes: int
    sha256: str = Field(description="Digest of the file's bytes (FIPS 180-4), hexadecimal.")


class Report(Section):
    """The figures and findings of one finished hold, in mm."""

    format: Literal[2] = FORMAT
    program: str = Field(description="Program and version that wrote it.")
    key: str = Field(description="Equal where everything the files are made from is: blake2b, 16 bytes.")
    sculpt: SculptSection
    pieces: tuple[PieceSection, ...] = Field(description="Of the sculpt, in the order of its file.")
    recipe: RecipeSection
    steps: tuple[StepSection, ...]
    envelope: EnvelopeSection
    allowances: Allowances = Field(description="What separates print size, as in the files, from true size.")
    pose: ExportPose
    features: FeaturesSection
    whole: SolidSection = Field(description="The hold before the split.")
    solids: dict[str, SolidSection]
    """The parts written: shell and core, or whole where the recipe does not split; and corner tabs, these in
    print size."""
    joint: dict[str, Any] | None = Field(
        default=None,
        description="What `holdwright joint --json` says of the finished hold, but for its findings, which "
        "are among those below; null where it has no bore, or its joint cannot be judged.",
    )
    print: dict[str, Any] = Field(
        default={},
        description="What `holdwright estimate --json` says of the parts: settings, and for each part and "
        "for both mass_g, filament_m, time_s and cost, each low, likely and high; or the problem where the "
        "settings do not go together. And checks: code, title, verdict, figure, limit, unit, place, words "
        "and proposal of each check of the print.",
    )
    strength: dict[str, Any] | None = Field(
        default=None,
        description="What `holdwright strength --json` says of the finished hold, but for its findings; null "
        "where it was not asked for.",
    )
    findings: tuple[FindingSection, ...]
    files: tuple[FileSection, ...] = Field(description="The files written beside this report.")
    cautions: tuple[str, ...]


def report_text(report: Report) -> bytes:
    """Give the report as JSON in UTF-8.

    A figure that is not finite becomes null, and a byte of a file's name that is no UTF-8 a question mark, as
    JSON knows neither.
    """
    text = json.dumps(report.model_dump(mode="json"), ensure_ascii=False).encode("utf-8", "replace")
    return to_json(from_json(text), indent=2, inf_nan_mode="null") + b"\n"


def report_schema() -> dict[str, Any]:
    """Give the JSON schema of a report."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **Report.model_json_schema(mode="serialization"),
    }
