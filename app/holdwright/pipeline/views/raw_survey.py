"""The pieces of the raw sculpt: where they lie, where they are open, and why a recipe leaves one out."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from holdwright.errors import ParameterError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.sculpt import Piece
from holdwright.geometry.repair.raw_pieces import open_lines, owners
from holdwright.hold.piece_account import PieceAccount, Role
from holdwright.operations.import_pieces import piece_accounts
from holdwright.operations.import_sculpt import ImportSculptParameters, surveyed
from holdwright.parameters.piece_names import matches_any
from holdwright.pipeline.views.work_context import WorkContext

MOST_EDGES: Final = 60_000
"""Open edges drawn at most: of a loose soup every edge is open, and nobody could tell them apart."""

BY_NAME: Final = "by name"
"""Why a piece is left out that the recipe names."""

CHOICE_OF: Final[Mapping[Role, str]] = {"ground block": "ground_block", "loose piece": "loose_pieces"}
"""The field that says whether pieces of a role are left out."""


@dataclass(frozen=True, eq=False)
class RawSurvey:
    """Where the pieces are in the raw sculpt, and where it is open."""

    owner: tuple[NDArray[np.int32] | None, ...]
    """For each group of the sculpt, (m,) int32: of which piece each triangle is, as an index into those in
    the request; None where all are of `sole`."""
    sole: tuple[int, ...]
    """For each group the one piece that all of it belongs to, or -1."""
    edges: NDArray[np.float32]
    """(k, 2, 3) float32 open edges, file units from the sculpt's origin."""
    edge_count: int
    """How many there are; more than were sent where they are very many."""


def survey_raw(context: WorkContext, pieces: Sequence[PieceAccount]) -> RawSurvey:
    """Find pieces in the raw sculpt.

    Raises
    ------
    InputError
        When the sculpt cannot be read.
    """
    sculpt = context.sculpt(context.progress.part(0.0, 0.3))
    boxes = np.array([(each.low, each.high) for each in pieces])
    owner: list[NDArray[np.int32] | None] = []
    sole: list[int] = []
    unsound: list[Piece] = []
    made_of: defaultdict[str, list[int]] = defaultdict(list)
    for number, each in enumerate(pieces):
        for name in each.groups:
            made_of[name].append(number)
    for number, group in enumerate(sculpt.pieces):
        context.progress.report(0.3 + 0.5 * number / len(sculpt.pieces), "looking at the pieces")
        own = made_of.get(group.name) or list(range(len(pieces)))
        if any(pieces[each].grade != "as sculpted" for each in own):
            unsound.append(group)
        if len(own) == 1:
            sole.append(own[0])
            owner.append(None)
        else:
            sole.append(-1)
            owner.append(np.array(own)[owners(group, boxes[own])].astype(np.int32))
    context.progress.report(0.8, "looking for open edges")
    edges: Floats = open_lines(unsound)
    return RawSurvey(tuple(owner), tuple(sole), edges[:MOST_EDGES].astype(np.float32), len(edges))


def survey_pieces(context: WorkContext, _requested: object) -> tuple[PieceAccount, ...]:
    """Take the sculpt apart as the recipe's import does, where that has failed and so tells nothing.

    Raises
    ------
    HoldwrightError
        When the sculpt cannot be read, or its unit is to be as a file says that says none.
    """
    parameters = context.recipe.steps[0].parameters
    if not isinstance(parameters, ImportSculptParameters):
        raise ParameterError("The recipe does not begin with an import, so it has no pieces to look at.")
    sculpt = context.sculpt(context.progress.part(0.0, 0.2))
    return piece_accounts(surveyed(sculpt, parameters, context.run(context.progress.part(0.2, 1.0))))


def why_left_out(account: PieceAccount, parameters: ImportSculptParameters) -> str:
    """Say why a piece is left out; blank where it is not."""
    if matches_any(parameters.leave_out, account.name):
        return BY_NAME
    field = CHOICE_OF.get(account.role)
    if field is None:
        return account.role
    return account.role if getattr(parameters, field) == "leave out" else ""
