"""A wall that is changed by hand: its grid, what hangs where, what is wrong, and every change undone."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from holdwright.errors import ExportError
from holdwright.geometry.arrays import Floats
from holdwright.hold.finding import Finding
from holdwright.pipeline.atomic_write import write_whole
from holdwright.wall.hanging_hold import HangingHold
from holdwright.wall.hung import Hung, hung_holds
from holdwright.wall.spread import spread
from holdwright.wall.t_nut_grid import t_nuts
from holdwright.wall.wall_file import ClimbingWall, PanelGrid, PlacedEntry, TNutGrid
from holdwright.wall.wall_findings import Known, findings_alone, findings_beside, wall_findings


class WallPlan:
    """Holds on a wall.

    Parameters
    ----------
    wall
        As it stands in its file.
    holds
        The set's finished holds, and how many there are of each, by name.

    Attributes
    ----------
    wall
        As it is now.
    places
        Its T-nuts: (x, y) in mm by name.
    hung
        What hangs on it.
    findings
        What is wrong, the gravest first.

    Raises
    ------
    ParameterError
        When the wall names a hold the set lacks, or a T-nut that is not there.
    """

    def __init__(self, wall: ClimbingWall, holds: Mapping[str, tuple[HangingHold, int]]) -> None:
        self.wall, self.holds = wall, holds
        self.places = t_nuts(wall)
        self.hung: tuple[Hung, ...] = ()
        self.findings: list[Finding] = []
        self._known: Known = {}
        self._saved = wall
        self._undone: list[ClimbingWall] = []
        self._done: list[ClimbingWall] = []
        self._tag = ""
        self._show(wall)

    @property
    def is_changed(self) -> bool:
        """Whether it differs from its file."""
        return self.wall != self._saved

    @property
    def left(self) -> dict[str, int]:
        """How many of each hold hang nowhere; those of which more hang than there are count below 0."""
        hanging = Counter(one.hold.name for one in self.hung)
        return {
            name: count - hanging[name] for name, (_, count) in self.holds.items() if count != hanging[name]
        }

    @property
    def can_undo(self) -> bool:
        """Whether there is a change to take back."""
        return bool(self._done)

    @property
    def can_redo(self) -> bool:
        """Whether a change was taken back."""
        return bool(self._undone)

    def hang(self, number: int, t_nut: str, turn: float, tag: str = "") -> None:
        """Hang a hold, by its number from 1, elsewhere or turned otherwise.

        Parameters
        ----------
        tag
            Changes in a row with one tag are undone as one.
        """
        placed = list(self.wall.placed)
        turn = (turn + 180.0) % 360.0 - 180.0
        placed[number - 1] = placed[number - 1].model_copy(update={"t_nut": t_nut, "turn": turn})
        self._place(tuple(placed), tag)

    def add(self, name: str) -> int | None:
        """Hang one more where nothing is wrong with it, as near to the middle as can be; give its number.

        Where there is no such place it hangs at the free T-nut next to the middle; None where none is free.
        """
        hold, _ = self.holds[name]
        taken = {one.t_nut for one in self.hung}
        middle = [sum(each) / max(len(self.places), 1) for each in zip(*self.places.values(), strict=True)]
        free = sorted(
            (each for each in self.places if each not in taken),
            key=lambda each: sum((a - b) ** 2 for a, b in zip(self.places[each], middle, strict=True)),
        )
        if not free:
            return None
        at = self._grid
        number = len(self.hung) + 1
        tried = (Hung(number, hold, each, self.places[each], 0.0) for each in free)
        sound = next(
            (
                one.t_nut
                for one in tried
                if not any(findings_alone(one, self.wall, at))
                and not any(findings_beside(one, self.hung, self.wall))
            ),
            free[0],
        )
        self._place((*self.wall.placed, PlacedEntry(hold=name, t_nut=sound)))
        return number

    def remove(self, number: int) -> None:
        """Take a hold off the wall."""
        placed = self.wall.placed
        self._place((*placed[: number - 1], *placed[number:]))

    def spread(self, seed: int) -> list[str]:
        """Hang the whole set by chance, and name what found no place."""
        hanging, left = spread(self.wall, self.holds, seed)
        self._place(tuple(one.entry for one in hanging))
        return left

    def change_grid(self, panels: PanelGrid, grid: TNutGrid, tag: str = "") -> list[str]:
        """Have other panels, or other T-nuts on them; holds stay at the T-nuts of the same names.

        Returns
        -------
        What had to be taken off, as its T-nut is there no longer.

        Raises
        ------
        ParameterError
            When there would be too many T-nuts.
        """
        # Of steps in a row the last alone decides what comes off.
        begun = self._done[-1] if tag and tag == self._tag else self.wall
        wall = ClimbingWall.model_validate({**vars(begun), "panels": panels, "t_nuts": grid})
        there = t_nuts(wall)
        placed = tuple(each for each in wall.placed if each.t_nut in there)
        off = [f"{each.hold} at {each.t_nut}" for each in wall.placed if each.t_nut not in there]
        self._change(wall.model_copy(update={"placed": placed}), tag)
        return off

    def name_set(self, folder: str) -> None:
        """Say which set hangs on it, as its file does; that is not undone."""
        self.wall = self.wall.model_copy(update={"set_folder": folder})

    def undo(self) -> None:
        """Take the last change back, if there is one."""
        if self._done:
            self._undone.append(self.wall)
            self._show(self._done.pop())

    def redo(self) -> None:
        """Do the change last undone again, if there is one."""
        if self._undone:
            self._done.append(self.wall)
            self._show(self._undone.pop())

    def save(self, path: Path) -> None:
        """Write the wall's file, whole or not at all.

        Raises
        ------
        ExportError
            When the disk refuses; the file is then as it was.
        """
        try:
            write_whole(path, (self.wall.model_dump_json(indent=2) + "\n").encode())
        except OSError as error:
            raise ExportError(
                f"The wall cannot be saved to {path}: {error.strerror or error}; make room, or save it "
                "elsewhere. The file is as it was."
            ) from error
        self._saved = self.wall

    def _place(self, placed: tuple[PlacedEntry, ...], tag: str = "") -> None:
        self._change(self.wall.model_copy(update={"placed": placed}), tag)

    def _change(self, wall: ClimbingWall, tag: str = "") -> None:
        if wall == self.wall:
            return
        if not (tag and tag == self._tag):
            self._done.append(self.wall)
        self._undone.clear()
        self._show(wall, tag)

    def _show(self, wall: ClimbingWall, tag: str = "") -> None:
        before = {(one.number, one.entry): one for one in self.hung}
        if (wall.panels, wall.t_nuts) != (self.wall.panels, self.wall.t_nuts):
            self.places, before = t_nuts(wall), {}
            self._known.clear()
        named = {"set_folder": self.wall.set_folder}
        self.wall, self._tag = wall.model_copy(update=named), tag
        known = {name: hold for name, (hold, _) in self.holds.items()}
        self.hung = tuple(before.get((one.number, one.entry), one) for one in hung_holds(self.wall, known))
        self.findings = wall_findings(self.wall, self.hung, self._known)

    @property
    def _grid(self) -> Floats:
        return np.array(list(self.places.values())).reshape(-1, 2)


def marked(findings: Sequence[Finding], one: Hung) -> str:
    """Give the gravest severity of what is found at a hold; blank for nothing."""
    return next((each.severity for each in findings if _is_of(each, one) and each.severity != "note"), "")


def _is_of(finding: Finding, one: Hung) -> bool:
    """Tell whether a finding is a hold's: found at it, or naming it beside another."""
    return finding.where == (*one.at, 0.0) or bool(
        re.search(rf"{re.escape(one.name)}(?!\d)", finding.message)
    )
