"""The account that the import step gives of every piece."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from holdwright.geometry.measure.deviation import NONE
from holdwright.geometry.measure.nearest import nearest
from holdwright.geometry.mesh.boolean import overlap_volume
from holdwright.geometry.mesh.solid import Solid
from holdwright.geometry.repair.fuse import SculptSurvey
from holdwright.geometry.repair.pieces import SculptPiece
from holdwright.geometry.repair.repair_account import Mending
from holdwright.hold.finding import point
from holdwright.hold.piece_account import Counted, PieceAccount, Role
from holdwright.operations.import_words import problem_of, what_was_counted, what_was_done

NOTHING: Final = 1e-9
"""Departures smaller than this share of the piece's size are none."""

SCRAP = 0.01
"""Pieces that bound nothing are left out where they are smaller than this share of the largest piece."""

STRAY = 0.1
"""The same, where they touch no piece and loose ones are to be left out."""


def without_scraps(used: list[SculptPiece], *, loose: bool) -> tuple[list[SculptPiece], list[SculptPiece]]:
    """Part off small pieces that bound nothing, beside sound ones far larger.

    Parameters
    ----------
    used
        Pieces that are not left out otherwise.
    loose
        Whether not only tiny ones are parted off, but those that touch nothing too.

    Returns
    -------
    The pieces to go on with, and the scraps.
    """
    solids = [piece.solid for piece in used if piece.solid is not None]
    whole = max((float(np.linalg.norm(solid.size)) for solid in solids), default=0.0)
    scraps = []
    for piece in used:
        size = float(np.linalg.norm(piece.size)) if piece.solid is None else np.inf
        if size < SCRAP * whole or (loose and size < STRAY * whole and not _touches(piece, solids)):
            scraps.append(piece)
    return [piece for piece in used if piece not in scraps], scraps


def _touches(piece: SculptPiece, solids: Sequence[Solid]) -> bool:
    """Tell whether the ball round a piece meets the surface of a solid."""
    middle, reach = piece.bounds.mean(axis=0), float(np.linalg.norm(piece.size)) / 2.0
    for solid in solids:
        if (solid.bounds[0] > middle + reach).any() or (solid.bounds[1] < middle - reach).any():
            continue
        closest = nearest(solid, middle)
        if closest is not None and closest.distance <= reach:
            return True
    return False


def piece_accounts(
    found: SculptSurvey, scraps: Collection[str] = (), loose: Collection[str] = ()
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


def names_of_loose(used: Sequence[SculptPiece], loose: Sequence[Solid]) -> frozenset[str]:
    """Name the pieces that some bodies, loose ones, are made of."""
    return frozenset(
        piece.name
        for piece in used
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
    account = PieceAccount(
        name=piece.name,
        triangles=piece.triangles,
        low=point(piece.bounds[0]),
        high=point(piece.bounds[1]),
        volume=None,
        grade="no solid",
        deviation=None,
        done=done + what_was_done(mending),
        problem=problem_of(piece),
        counted=_counted(piece, mending),
        holes=tuple((hole.middle, hole.span) for hole in mending.holes),
        doubled=mending.doubled / mending.counted if mending.counted > 0 else 0.0,
        groups=piece.groups,
        role=role,
    )
    if piece.solid is None:
        return account
    least = NOTHING * float(np.max(piece.size))
    away, added = (each if each.largest > least else NONE for each in (mending.away, mending.added))
    volume = piece.solid.volume
    return replace(
        account,
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
