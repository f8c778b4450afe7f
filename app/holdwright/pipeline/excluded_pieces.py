"""Why a recipe leaves a piece of the sculpt out."""

from collections.abc import Mapping
from typing import Final

from holdwright.hold.piece_account import PieceAccount, Role
from holdwright.operations.import_sculpt import ImportSculptParameters
from holdwright.parameters.piece_names import matches_any

BY_NAME: Final = "by name"
"""Why a piece is left out that the recipe names."""

CHOICE_OF: Final[Mapping[Role, str]] = {"ground block": "ground_block", "loose piece": "loose_pieces"}
"""The field that says whether pieces of a role are left out."""


def why_left_out(account: PieceAccount, parameters: ImportSculptParameters) -> str:
    """Say why a piece is left out; blank where it is not."""
    if matches_any(parameters.leave_out, account.name):
        return BY_NAME
    field = CHOICE_OF.get(account.role)
    if field is None:
        return account.role
    return account.role if getattr(parameters, field) == "leave out" else ""
