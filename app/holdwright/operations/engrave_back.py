"""Engrave back: name, revision, size and date where nobody grips, and an arrow that points up."""

from typing import ClassVar

import numpy as np
from pydantic import Field, field_validator

from holdwright.errors import GeometryError
from holdwright.files.lettering import letters
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.hole_site import BACK
from holdwright.geometry.measure.sections import section
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.relief.engraving import FreeBack, Lettering, engrave, least_stroke, set_lines
from holdwright.geometry.relief.pocket import above_pocket
from holdwright.hold.cut_surfaces import holes
from holdwright.hold.feature import BackPocket, Engraving
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import limit_of, new_finding
from holdwright.hold.hold import Hold
from holdwright.operations.base import Operation, Outcome, Run
from holdwright.operations.envelope_size import size_name
from holdwright.operations.hole_step import PlaceBy, PlaceByHand
from holdwright.operations.placeholders import checked, filled, used_in
from holdwright.parameters.kinds import Length, Parameters

_FINER = 0.95
"""From one height tried to the next, where letters have no room."""


class EngraveBackParameters(Parameters):
    """What is written, how large and how deep. Sizes are common practice, no source."""

    text: str = Field("", max_length=60, title="Name")
    """Name of the hold, in the letters of the font that ships with the program. In it and below, {name},
    {number}, {size} and {hand} stand for those of the hold, as a set makes it."""
    revision: str = Field("", max_length=20, title="Revision")
    """Which sculpt or trial this is, as "B" or "3"."""
    date: str = Field("", max_length=20, title="Date")
    """As it is to be read; nothing is put in for it."""
    size: bool = Field(False, title="Size")
    """Engrave width, height and depth of the finished hold, mm."""
    arrow: bool = Field(True, title="Arrow up")
    """Engrave an arrow that points up on the wall."""
    height: Length = Field(8.0, ge=1.0, le=100.0, title="Letter height")
    """Of a capital. Letters are made smaller where they have no room, down to the least height."""
    least_height: Length = Field(4.0, ge=1.0, le=100.0, title="Least height")
    """Smaller letters are not engraved."""
    depth: Length = Field(0.8, ge=0.1, le=10.0, title="Depth")
    """From the finished back, or from the ceiling of the pocket that relieves it: two layers or more."""
    least_stroke: Length = Field(0.8, ge=0.1, le=10.0, title="Least stroke")
    """Narrower strokes are told of: two lines of a 0.4 mm nozzle, or one of a wider nozzle, leave a letter
    legible."""
    margin: Length = Field(2.0, ge=0.0, le=50.0, title="Margin")
    """Clear width round the letters: to lands, to the edge, to bores with their seats and to screws."""
    place: PlaceBy = "found"
    """Automatic: where there is room, nearest to the middle of it. By hand: a place of your own."""
    at: PlaceByHand = (0.0, 0.0)
    """Middle of the letters on the finished back."""

    @field_validator("text", "revision", "date")
    @classmethod
    def _known(cls, text: str) -> str:
        return checked(text)

    @property
    def lines(self) -> list[str]:
        """What is typed, a line each; blanks at the ends are dropped."""
        return [line for each in (self.text, self.revision, self.date) if (line := each.strip())]


class EngraveBack(Operation[EngraveBackParameters]):
    """It comes after the back is relieved, and is cut before the core is split off."""

    name: ClassVar[str] = "engrave_back"
    title: ClassVar[str] = "Engrave back"
    summary: ClassVar[str] = "Cuts name, revision, size, date and an arrow up into the back."
    order: ClassVar[int] = 75
    parameters = EngraveBackParameters

    def apply(self, hold: Hold, parameters: EngraveBackParameters, run: Run) -> Outcome:
        """Cut the letters; see `Operation.apply`.

        Raises
        ------
        ParameterError
            When the hold has no true size, the font lacks a letter, or a given place has no room.
        GeometryError
            When there is no back.
        """
        whole = hold.whole
        hold.check_size("Letters in millimetres were requested")
        back = section(whole, BACK)
        if not back:
            raise GeometryError("The hold has no flat back on z = 0 to engrave; trim its back first.")
        lines, findings = _lines(parameters, hold)
        if not lines and not parameters.arrow:
            findings.append(new_finding("nothing_to_engrave"))
            return Outcome(hold, tuple(findings), "nothing engraved")
        run.progress.report(0.1, "looking for room on the back")
        pocket = next(iter(hold.find(BackPocket)), None)
        room = FreeBack(pocket.drawn if pocket else back, holes(hold.features), parameters.margin)
        found = _fitted(lines, room, parameters)
        if found is None:
            findings.append(new_finding("no_room_to_engrave", parameters.least_height))
            return Outcome(hold, tuple(findings), "no room")
        lettering, height, place = found
        top = parameters.depth + (pocket.depth if pocket else 0.0)
        run.progress.report(0.5, "cutting the letters")
        after = engrave(whole, lettering.placed(place), top)
        made = Engraving(
            text=tuple(lines),
            height=height,
            depth=parameters.depth,
            stroke=least_stroke(lettering),
            size=(float(lettering.size[0]), float(lettering.size[1])),
            x=float(place[0]),
            y=float(place[1]),
            top=top,
        )
        findings += [*_small(made, parameters), *_thin(whole, hold, lettering, made)]
        result = f"{' / '.join(lines) or 'arrow'}, {height:.1f} mm high, {parameters.depth:g} mm deep"
        return Outcome(hold.with_whole(after, made), tuple(findings), result)


def _lines(parameters: EngraveBackParameters, hold: Hold) -> tuple[list[str], list[Finding]]:
    """Give what is engraved, a line each, with what is known of the hold put in, and what is not known."""
    low, high = hold.whole.bounds
    sides = high - (low[0], low[1], 0.0)  # stock below the back is sanded off
    hand = "mirrored" if np.linalg.det(hold.placement[:3, :3]) < 0.0 else ""
    values = {"size": size_name(float(sides.max())), "hand": hand}
    written = [filled(line, values) for line in parameters.lines]
    open_ones = sorted({word for line in written for word in used_in(line)})
    findings = [new_finding("placeholder_blank", what=word) for word in open_ones]
    lines = [line for each in written if (line := filled(each, dict.fromkeys(open_ones, "")))]
    if parameters.size:
        lines.append(" \u00d7 ".join(f"{side:.0f}" for side in sides))
    return lines, findings


def _fitted(
    lines: list[str], room: FreeBack, parameters: EngraveBackParameters
) -> tuple[Lettering, float, Floats] | None:
    """Set the lines as high as there is room, one below the other or in fewer lines; None below the least.

    Returns
    -------
    tuple
        The letters, their height in mm and the place (2,) of their middle.
    """
    settings = [lines, ["  ".join(lines)], [lines[0], "  ".join(lines[1:])]] if len(lines) > 1 else [lines]
    drawn = [[letters(line) for line in setting if line] for setting in settings]
    height = parameters.height
    while height >= parameters.least_height:
        for each in drawn:
            lettering = set_lines(each, height, arrow=parameters.arrow)
            if parameters.place == "at":
                place = np.array(parameters.at)
                if room.has(lettering.size, place):
                    return lettering, height, place
            elif (spot := room.place(lettering.size)) is not None:
                return lettering, height, spot
        height *= _FINER
    return None


def _small(made: Engraving, parameters: EngraveBackParameters) -> list[Finding]:
    """Report letters smaller than requested, and strokes too fine to print."""
    findings = []
    if made.height < parameters.height:
        findings.append(new_finding("letters_made_smaller", made.height, parameters.height))
    if made.stroke < parameters.least_stroke:
        # At the upper edge: a flag there leaves the letters to be read.
        where = (made.x, made.y + made.size[1] / 2.0, made.top - made.depth)
        findings.append(new_finding("fine_strokes", made.stroke, parameters.least_stroke, where))
    return findings


def _thin(whole: Solid, hold: Hold, lettering: Lettering, made: Engraving) -> list[Finding]:
    """Report where little material is left above the letters, and where they break through."""
    half = lettering.size / 2.0
    corners = np.array([(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)])
    least, bare = above_pocket(whole, [corners * half + (made.x, made.y)], made.top, holes(hold.features))
    if bare.value > 0.0:
        return [new_finding("letters_break_through", where=bare.place)]
    if least.value < limit_of("thin_above_letters"):
        return [new_finding("thin_above_letters", least.value, where=least.place)]
    return []
