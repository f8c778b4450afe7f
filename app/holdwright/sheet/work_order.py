"""What to do with the printed parts, in order: print, sand, join, mount."""

from collections.abc import Iterator
from typing import Final

from holdwright.hold.feature import Rim
from holdwright.hold.hold import CORE, Hold
from holdwright.joint.cautions import BROKEN_BY_HAND, DUST, EDGES
from holdwright.joint.joint_card import JointCard
from holdwright.joint.on_the_wall import wall_practice

FLATNESS: Final = 0.3
"""Widest gap under a straight edge laid over the back of a hold up to `LARGE`, mm: common practice, no
source."""
FLATNESS_LARGE: Final = 0.5
"""The same for each 100 mm of a larger one."""
LARGE: Final = 150.0

HEAT: Final = "Nozzle, bed and fresh plastic burn: let the parts cool on the bed, where they also warp least."


def flatness(across: float) -> float:
    """Give the widest gap that a back so many mm across may show under a straight edge, mm."""
    return FLATNESS if across <= LARGE else FLATNESS_LARGE * across / 100.0


def work_order(
    hold: Hold, across: float, codes: frozenset[str], cards: tuple[JointCard, ...]
) -> Iterator[tuple[str, str]]:
    """Give title and text of each thing to do.

    Parameters
    ----------
    across
        Size of the back, mm.
    codes
        Of the findings.
    """
    rims, gap = hold.find(Rim), flatness(across)
    split = CORE in hold.solids
    yield "Print", f"{'Both parts' if split else 'It'} on the back, with the settings overleaf. {HEAT}"
    if rims:
        stock = rims[-1].allowance
        what = f"Take off the {stock:g} mm of stock on a flat plate," if stock else "On a flat plate,"
        yield (
            "Sand the back",
            f"{what} until no gap under a straight edge is wider than {gap:.1f} mm; slightly "
            f"hollow is better than rounded. {DUST}",
        )
    if not BROKEN_BY_HAND.isdisjoint(codes):
        yield "Break the edges", f"Round what the findings call sharp with file and paper. {EDGES}"
    if split:
        yield (
            "Join",
            "Put shell and core together from the back, until both backs are level; try the fit before glue.",
        )
    if cards:
        yield from wall_practice(cards[0])
