"""The pieces of the sculpt in the view: which are left out, where they are open, what was mended."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from PySide6.QtCore import Qt, SignalInstance
from PySide6.QtGui import QKeyEvent

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.frame import move_points
from holdwright.gui.document.piece_model import Pieces
from holdwright.gui.handles.ghost_drawing import FINE
from holdwright.gui.handles.grip import Grip, grasp
from holdwright.gui.handles.piece_surfaces import PieceSurfaces
from holdwright.gui.handles.step_handles import StepHandles
from holdwright.gui.viewport.tool import ToolEvent
from holdwright.hold.piece_account import PieceAccount
from holdwright.pipeline.views.raw_survey import BY_NAME

MOST_WORDS: Final = 60
"""Letters of what was done to a piece that are written beside it; the list has them all."""


class PieceHandles(StepHandles[frozenset[str]]):
    """Lets pieces of the raw sculpt be pointed at, over the sculpt itself or over what was made of it.

    Its state is the names of the pieces left out. A click chooses a piece, in the list too.
    """

    operation = "import_sculpt"

    _surfaces: PieceSurfaces | None = None
    _made_for: tuple[object, ...] = ()
    _marks: Sequence[tuple[Floats, str]] = ()
    _marked = -1

    @property
    def pieces(self) -> Pieces:
        """What is known of the pieces."""
        return self.document.pieces

    def redraw_signals(self) -> Sequence[SignalInstance]:
        """Be drawn anew when something else is known of the pieces, or another one is pointed at."""
        return (self.pieces.changed, self.pieces.pointed_changed)

    def read(self) -> frozenset[str]:
        """Take the pieces left out from the recipe, and their surfaces from the sculpt."""
        pieces, sculpt = self.pieces, self.document.sculpt
        names = [each.name for each in pieces.accounts]
        made_for = (sculpt, pieces.look, *(names if pieces.look is not None else ()))
        if made_for != self._made_for:
            self._made_for = made_for
            self._surfaces = PieceSurfaces(sculpt, names, pieces.look) if sculpt else None
        return frozenset(each.name for each in pieces.accounts if pieces.why_left(each))

    def draw(self) -> None:
        """Draw what is left out, open or mended, and the pieces pointed at and chosen, with words."""
        matrix = self._from_sculpt()
        accounts = self.pieces.accounts
        ground = [each.name for each in accounts if each.name in self.state and each.role == "ground block"]
        self._sheet("ground", ground, 0.12, quiet=True)
        self._sheet("left", sorted(self.state.difference(ground)), 0.25)
        used = [each for each in accounts if each.name not in self.state]
        self._sheet("rebuilt", [each.name for each in used if each.grade == "rebuilt"], 0.3)
        # Narrower holes get no dot; lines along their rims show them all.
        least = 0.02 * self._surfaces.extent if self._surfaces is not None else 0.0
        holes = [(middle, span) for each in used for middle, span in each.holes if span >= least]
        doubled = [np.mean([each.low, each.high], axis=0) for each in used if each.doubled > 0.0]
        self._marks = [
            *((move_points(matrix, np.array(middle)), self._hole_words(span)) for middle, span in holes),
            *((move_points(matrix, middle), "overlapped itself: made one") for middle in doubled),
        ]
        places = np.array([place for place, _ in self._marks]).reshape(-1, 3)
        for name, drawn in (("holes", places[: len(holes)]), ("overlaps", places[len(holes) :])):
            if len(drawn):
                self.painter.mark(name, drawn, filled=name == "holes")
        if self._marked >= 0:
            self.painter.label("mended", *self._marks[self._marked])
        look = self.pieces.look
        if look is not None and len(look.edges):
            ends = move_points(matrix, look.edges.reshape(-1, 3).astype(np.float64))
            self.painter.line("open", ends.reshape(-1, 2, 3), width=FINE, through=True)
        for role, name in (("chosen", self.pieces.chosen), ("pointed", self.pieces.pointed)):
            if name and (role == "pointed" or name != self.pieces.pointed):
                self._draw_named(role, name)

    def wants_click(self, event: ToolEvent) -> bool:
        """Take clicks on pieces, and beside them while one is chosen."""
        return bool(self.pieces.chosen or self._piece_at(event))

    def click(self, event: ToolEvent) -> None:
        """Choose a piece, or none when it is the one chosen."""
        name = self._piece_at(event)
        self.pieces.choose("" if name == self.pieces.chosen else name)

    def look(self, event: ToolEvent | None) -> bool:
        """Point at the piece under the pointer; whoever shows pieces hears of it."""
        name = self._piece_at(event) if event else ""
        before, self._marked = self._marked, self._mark_at(event) if event else -1
        self.pieces.point(name)
        if name:
            self.viewport.setCursor(Qt.CursorShape.PointingHandCursor)
        return before != self._marked

    def nudge(self, event: QKeyEvent) -> bool:
        """Leave the chosen piece out on Delete, or take it in again."""
        if event.key() not in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) or not self.pieces.chosen:
            return False
        self.pieces.toggle(self.pieces.chosen)
        return True

    def _mark_at(self, event: ToolEvent) -> int:
        """Give the number of the mark of a repair under the pointer; -1 for none."""
        knobs = [Grip(str(number), place[None]) for number, (place, _) in enumerate(self._marks)]
        found = grasp(knobs, event.x, event.y, self.lens)
        return int(found.grip.name) if found else -1

    def _hole_words(self, span: float) -> str:
        scale = self.pieces.millimetres
        return f"hole closed, {self.text(span * scale)} across" if scale else "hole closed"

    def _draw_named(self, role: str, name: str) -> None:
        account = self.pieces.account(name)
        points = self._sheet(role, [name], 0.4 if name in self.state else 0.6)
        if account is None or not len(points):
            return
        self.painter.label(role, points[int(np.argmax(points[:, 1]))], self._words(account))

    def _words(self, account: PieceAccount) -> str:
        words = [account.name]
        why = self.pieces.why_left(account)
        if why:
            words.append("left out" if why == BY_NAME else f"left out, {why}")
        if account.grade not in ("", "as sculpted"):
            done = account.problem or "; ".join(account.done)
            short = done if len(done) <= MOST_WORDS else f"{done[: MOST_WORDS - 1]}…"
            words.append(f"{account.grade}: {short}" if short else account.grade)
        if account.name == self.pieces.chosen:
            words.append(f"Del {'uses it again' if why else 'leaves it out'}")
        return "  ·  ".join(words)

    def _sheet(self, key: str, names: Sequence[str], opacity: float, *, quiet: bool = False) -> Floats:
        """Draw pieces as one translucent surface, and give its points in the frame shown."""
        if self._surfaces is None or not names:
            return np.zeros((0, 3))
        points, triangles = self._surfaces.raised(names)
        if not len(triangles):
            return np.zeros((0, 3))
        moved = move_points(self._from_sculpt(), points)
        self.painter.sheet(key, (moved, triangles), opacity, quiet=quiet)
        return moved

    def _piece_at(self, event: ToolEvent) -> str:
        """Give the name of the first piece along the line of sight, one left out only where no other is."""
        if self._surfaces is None:
            return ""
        start, direction = event.ray()
        back = np.asarray(np.linalg.inv(self._from_sculpt()), dtype=np.float64)
        begin: Floats = move_points(back, start)
        # How far a line of sight is followed, in extents of the sculpt.
        far = float(np.linalg.norm(begin)) + 100.0 * self._surfaces.extent
        along = back[:3, :3] @ direction
        end = begin + far * along / np.linalg.norm(along)
        return self._surfaces.first_hit(begin, end, self.state)

    def _from_sculpt(self) -> Floats:
        """(4, 4) from the sculpt's coordinates to the frame of what is shown."""
        return self.frames.shown.placement if self.frames.shown else np.eye(4)
