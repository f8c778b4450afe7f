"""The changes a hand can make to the open recipe."""

from collections.abc import Callable, Mapping
from typing import Any

from holdwright.session import Session

Do = Callable[[Callable[[Session], object]], bool]


class Edits:
    """Commands on the open recipe; each is one entry of the history and starts a replay.

    Parameters
    ----------
    do
        Has the session do something, tells refusals to the user, and answers whether it could.
    """

    def __init__(self, do: Do) -> None:
        self._do = do

    def edit(self, step_id: str, changes: Mapping[str, Any], tag: str = "") -> bool:
        """Change values of a step; with a tag, as one of many while the hand is still moving."""
        return self._do(lambda session: session.edit(step_id, changes, tag))

    def settle(self, tag: str) -> None:
        """Say that the hand has let go: the edits of that tag are one entry of the history from here on."""
        self._do(lambda session: session.settle(tag))

    def add_step(self, operation: str) -> None:
        """Put a further step in at its place in shop order, and work on it."""
        self._do(lambda session: session.add(operation))

    def remove_step(self, step_id: str) -> None:
        """Take a step out."""
        self._do(lambda session: session.remove(step_id))

    def toggle_step(self, step_id: str) -> None:
        """Skip a step, or no longer skip it."""
        self._do(lambda session: session.toggle(step_id))

    def note_step(self, step_id: str, text: str) -> None:
        """Put the maker's own words on a step."""
        self._do(lambda session: session.note(step_id, text))

    def select(self, step_id: str) -> None:
        """Work on a step; blank for none."""

        def choose(session: Session) -> None:
            session.selected = step_id or None

        self._do(choose)

    def undo(self) -> None:
        """Take the last change back."""
        self._do(lambda session: session.undo())

    def redo(self) -> None:
        """Do the change last undone again."""
        self._do(lambda session: session.redo())
