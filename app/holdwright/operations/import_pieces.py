"""The account that the import step gives of every piece."""

from collections.abc import Collection, Sequence
from typing import Final

import numpy as np

from holdwright.geometry.boolean import overlap_volume
from holdwright.geometry.fuse import Survey
from holdwright.geometry.mending_account import what_was_done
from holdwright.geometry.pieces import SculptPiece
from holdwright.geometry.solid import Solid
from holdwright.hold.finding import point
from holdwright.hold.piece_account import PieceAccount, Role

NOTHING: Final = 1e-9
"""Departures smaller than this share of the piece's size are none."""


def piece_accounts(
    found: Survey, scraps: Collection[str] = (), loose: Collection[str] = ()
) -> tuple[PieceAccount, ...]:
    """Give an account of every piece, in file order.

    Parameters
    ----------
    found
        The sculpt taken apart.
    scraps, loose
        Names of the pieces that were taken for such.
    """
    roles: dict[str, Role] = {each.piece.name: "ground block" for each in found.ground}
    roles |= dict.fromkeys(scraps, "scrap")
    roles |= dict.fromkeys(loose, "loose piece")
    return tuple(_account(piece, roles.get(piece.name, "")) for piece in found.pieces)


def names_of_loose(kept: Sequence[SculptPiece], loose: Sequence[Solid]) -> frozenset[str]:
    """Name the pieces that some bodies, loose ones, are made of."""
    return frozenset(
        piece.name
        for piece in kept
        for body in loose
        if piece.solid is not None
        and _within(piece, body)
        and overlap_volume(piece.solid, body) >= 0.5 * piece.solid.volume
    )


def _within(piece: SculptPiece, body: Solid) -> bool:
    """Tell whether a piece's box lies within a body's, as the box of all that is part of it must."""
    slack = 1e-6 * float(np.max(body.size))
    low, high = body.bounds
    return bool((piece.bounds[0] >= low - slack).all() and (piece.bounds[1] <= high + slack).all())


def _account(piece: SculptPiece, role: Role) -> PieceAccount:
    mending = piece.mending
    done: tuple[str, ...] = ("it was turned outward",) if piece.turned else ()
    deviation = 0.0 if piece.solid is not None else None
    holes: tuple[tuple[tuple[float, float, float], float], ...] = ()
    doubled = 0.0
    if mending is not None:
        done += what_was_done(mending)
        deviation = max(mending.away.largest, mending.added.largest)
        # Less is what comparing numbers of such a size leaves over.
        deviation = deviation if deviation > NOTHING * float(np.max(piece.size)) else 0.0
        holes = tuple((hole.middle, hole.span) for hole in mending.holes)
        doubled = mending.doubled / mending.counted if mending.counted > 0 else 0.0
    return PieceAccount(
        name=piece.name,
        triangles=piece.triangles,
        low=point(piece.bounds[0]),
        high=point(piece.bounds[1]),
        volume=piece.solid.volume if piece.solid is not None else None,
        grade=piece.grade if piece.solid is not None else "no solid",
        deviation=deviation,
        done=done,
        problem=piece.problem,
        holes=holes,
        doubled=doubled,
        role=role,
    )
