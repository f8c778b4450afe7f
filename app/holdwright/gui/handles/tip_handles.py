"""Which tips are cut: click one to leave it out or take it in again, with Shift elsewhere to add one."""

from dataclasses import dataclass
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt

from holdwright.geometry.arrays import Floats, Indices
from holdwright.geometry.mesh.connectivity import linked_sets
from holdwright.gui.handles.grip import Grip, grasp
from holdwright.gui.handles.shapes import disc, ring
from holdwright.gui.handles.step_handles import StepHandles
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.hold.feature import TipCut
from holdwright.hold.finding_builder import limit_of
from holdwright.operations.chamfer_tips import ChamferTipsParameters
from holdwright.parameters.kinds import PointPick

Kind = Literal["cut", "uncut", "left"]

_WORDS: Final[dict[Kind, str]] = {
    "cut": "click to leave this tip",
    "uncut": "not cut: click to leave it out",
    "left": "left out: click to cut it",
}


@dataclass(frozen=True, eq=False)
class TipMark:
    """A tip, where it is on what is shown."""

    kind: Kind
    """Either "cut", "uncut" (found, but it could not be cut) or "left" (left out by the user)."""
    place: Floats
    normal: Floats
    """place and normal: (3,) of the flat, or of the tip itself where it has none; mm and unit."""
    width: float
    """Of its flat, mm; 0 where it has none."""
    apex: Floats
    """(3,) of the tip as it enters the step, mm."""


class TipHandles(StepHandles[tuple[TipMark, ...]]):
    """Draws a disc on every tip cut and an open ring on every one left out."""

    operation = "chamfer_tips"

    values: ChamferTipsParameters
    _under: int | None = None

    def read(self) -> tuple[TipMark, ...]:
        """Take the tips cut from what the step gave, and those left out from the recipe."""
        values = self.values
        left = [self._left(pick) for pick in values.leave_out] if values.tips != "picked" else []
        shown = self.frames.shown
        if not self.frames.own or shown is None:
            return tuple(left)
        marks = [self._cut(cut) for cut in self.frames.own_features if isinstance(cut, TipCut)]
        uncut = [
            np.array(finding.where)
            for finding in shown.findings
            if finding.code == "tip_not_cut" and finding.where is not None
        ]
        marks += [TipMark("uncut", place, np.array([0.0, 0.0, 1.0]), 0.0, place) for place in uncut]
        # A tip just left out is still cut in what is shown until the step has run: the recipe is right.
        near = [mark for mark in marks if not any(_apart(mark.apex, other.apex) < 1e-3 for other in left)]
        return (*near, *left)

    def draw(self) -> None:
        """Draw the marks, and what a click would do to the one under the pointer."""
        for number, mark in enumerate(self.state):
            name = str(number)
            hot = self._under == number
            if mark.width > 0.0:
                self._draw_flat(name, mark, hot=hot)
            self.painter.knob(name, mark.place, hot=hot, filled=mark.kind == "cut")
            if hot:
                figure = f"flat {self.text(mark.width)}, " if mark.width > 0.0 else ""
                self.painter.label("hint", mark.place, figure + _WORDS[mark.kind])

    def look(self, event: ToolEvent | None) -> bool:
        """Brighten the tip under the pointer."""
        before, self._under = self._under, self._mark_at(event) if event else None
        if self._under is not None:
            self.viewport.setCursor(Qt.CursorShape.PointingHandCursor)
        return self._under != before

    def wants_click(self, event: ToolEvent) -> bool:
        """Take clicks on tips, and with Shift on the hold."""
        return self._mark_at(event) is not None or (_adds(event) and event.pick() is not None)

    def click(self, event: ToolEvent) -> None:
        """Leave a tip out, take it in again, or add one."""
        values, number = self.values, self._mark_at(event)
        pick = event.pick() if number is None and _adds(event) else None
        if number is not None:
            mark = self.state[number]
            place = self.frames.pick(mark.apex, mark.normal)
            self.edit(self._taken_in(place) if mark.kind == "left" else self._taken_out(place))
        elif pick is not None:
            tips = "both" if values.tips == "found" else values.tips
            place = self.frames.pick(pick.point, pick.normal)
            self.edit({"tips": tips, "picks": (*values.picks, place)})

    def _taken_in(self, place: PointPick) -> dict[str, Any]:
        return {"leave_out": tuple(pick for pick in self.values.leave_out if _gap(pick, place) > 1e-2)}

    def _taken_out(self, place: PointPick) -> dict[str, Any]:
        """Take the user's own pick of the tip off the list, or put it on the list of those left out."""
        values, limit = self.values, limit_of("leave_out_unused")
        others = tuple(pick for pick in values.picks if _gap(pick, place) > limit)
        if values.tips != "found" and len(others) < len(values.picks):
            return {"picks": others}
        return {"leave_out": (*values.leave_out, place)}

    def _mark_at(self, event: ToolEvent) -> int | None:
        knobs = [Grip(str(number), mark.place[None]) for number, mark in enumerate(self.state)]
        found = grasp(knobs, event.x, event.y, self.lens)
        return int(found.grip.name) if found else None

    def _draw_flat(self, name: str, mark: TipMark, *, hot: bool) -> None:
        raised = mark.place + 0.05 * mark.normal
        self.painter.line(f"{name}-edge", ring(raised, mark.normal, mark.width / 2), hot=hot, through=True)
        self.painter.sheet(f"{name}-flat", disc(raised, mark.normal, mark.width / 2), 0.35)

    def _left(self, pick: PointPick) -> TipMark:
        place, normal = self.frames.place(pick)
        return TipMark("left", place, normal, 0.0, place)

    def _cut(self, cut: TipCut) -> TipMark:
        place, normal = np.array(cut.place), np.array(cut.normal)
        return TipMark("cut", place, normal, cut.width, self._apex(place, normal, cut.width))

    def _apex(self, place: Floats, normal: Floats, width: float) -> Floats:
        """Find what the cut took away at its highest, on the hold as it enters the step."""
        surface = self.frames.entering_surface
        if surface is None:
            return place
        gap = surface.vertices - place
        height = gap @ normal
        # How far off its flat a tip is looked for, mm, beside twice the flat's width.
        near = (height > 0.0) & (np.einsum("ij,ij->i", gap, gap) < (2.0 * width + 20.0) ** 2)
        names = np.flatnonzero(near)
        if not len(names):
            return place
        part = _parts(surface.triangles[near[surface.triangles].any(axis=1)], near)
        mine = part == part[int(np.argmin(np.einsum("ij,ij->i", gap[names], gap[names])))]
        number = names[mine][int(np.argmax(height[names[mine]]))]
        return np.asarray(surface.vertices[number], dtype=np.float64)


def _parts(triangles: NDArray[np.int32], chosen: NDArray[np.bool_]) -> Indices:
    """Give for each chosen vertex the number of the connected part it is of, others left out."""
    place = np.cumsum(chosen) - 1
    ends = triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    rows, columns = place[ends[chosen[ends].all(axis=1)]].T
    return linked_sets(rows, columns, int(np.count_nonzero(chosen)))[1]


def _adds(event: ToolEvent) -> bool:
    return bool(event.modifiers & Qt.KeyboardModifier.ShiftModifier)


def _apart(one: Floats, other: Floats) -> float:
    return float(np.linalg.norm(one - other))


def _gap(one: PointPick, other: PointPick) -> float:
    return _apart(np.array(one.point), np.array(other.point))
