"""The account that the import step gives of every piece."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from holdwright.geometry.boolean import overlap_volume
from holdwright.geometry.deviation import NONE
from holdwright.geometry.fuse import Survey
from holdwright.geometry.mending_account import Mending, what_was_counted, what_was_done
from holdwright.geometry.pieces import SculptPiece
from holdwright.geometry.solid import Solid
from holdwright.hold.finding import point
from holdwright.hold.piece_account import Counted, PieceAccount, Role

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
    mending = piece.mending or Mending("mended")
    done: tuple[str, ...] = ("it was turned outward",) if piece.turned else ()
    told = PieceAccount(
        name=piece.name,
        triangles=piece.triangles,
        low=point(piece.bounds[0]),
        high=point(piece.bounds[1]),
        volume=None,
        grade="no solid",
        deviation=None,
        done=done + what_was_done(mending),
        problem=piece.problem,
        counted=_counted(piece, mending),
        holes=tuple((hole.middle, hole.span) for hole in mending.holes),
        doubled=mending.doubled / mending.counted if mending.counted > 0 else 0.0,
        role=role,
    )
    if piece.solid is None:
        return told
    least = NOTHING * float(np.max(piece.size))
    away, added = (each if each.largest > least else NONE for each in (mending.away, mending.added))
    volume = piece.solid.volume
    return replace(
        told,
        volume=volume,
        grade=piece.grade,
        deviation=max(away.largest, added.largest),
        away=away,
        added=added,
        before=mending.before if piece.mending is not None else volume,
        anew=mending.anew,
    )


def _counted(piece: SculptPiece, mending: Mending) -> tuple[Counted, ...]:
    turned = (("pieces turned outward", 1),) if piece.turned else ()
    return tuple(Counted(what, number) for what, number in (*turned, *what_was_counted(mending)))
