"""Commands on the open recipe, as the window gives them."""

from collections.abc import Callable
from typing import Concatenate, ParamSpec

from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.printing.print_parameters import PrintParameters
from holdwright.session import Session

Do = Callable[[Callable[[Session], object]], bool]
P = ParamSpec("P")


def _edit(command: Callable[Concatenate[Session, P], object]) -> Callable[Concatenate["Edits", P], bool]:
    """Make the command of a session one of `Edits`, with its parameters."""

    def run(edits: "Edits", /, *args: P.args, **kwargs: P.kwargs) -> bool:
        return edits.do(lambda session: command(session, *args, **kwargs))

    return run


def _change(command: Callable[Concatenate[Recipe, P], Recipe]) -> Callable[Concatenate["Edits", P], bool]:
    """Make what gives a changed recipe one of `Edits`, with its parameters."""

    def run(edits: "Edits", /, *args: P.args, **kwargs: P.kwargs) -> bool:
        return edits.do(lambda session: session.change(command(session.recipe, *args, **kwargs)))

    return run


def _select(session: Session, step_id: str) -> None:
    session.selected = None if step_id == PrintParameters.name else step_id or None


class Edits:
    """Commands on the open recipe, as `Session` has them; each one entry of the history that starts a replay.

    `select` works on a step, or on none where its id is blank or names a section: the finished hold is shown.

    Parameters
    ----------
    do
        Has the session do something, reports refusals to the user, and returns whether it could.
    """

    def __init__(self, do: Do) -> None:
        self.do = do

    edit = _edit(Session.edit)
    settle = _edit(Session.settle)
    add_step = _edit(Session.add)
    remove_step = _edit(Session.remove)
    move_step = _change(Recipe.moved)
    toggle_step = _change(Recipe.toggled)
    note_step = _change(Recipe.noted)
    select = _edit(_select)
    undo = _edit(Session.undo)
    redo = _edit(Session.redo)
