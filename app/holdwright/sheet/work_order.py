"""What to do with the printed parts, in order: print, join, sand, mount."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Final

from holdwright.hold.feature import Rim
from holdwright.hold.finding_builder import counted
from holdwright.hold.hold import CORE, Hold
from holdwright.joint.advice.on_the_wall import wall_practice
from holdwright.joint.card.joint_card import JointCard
from holdwright.joint.cautions import BROKEN_BY_HAND, DUST, EDGES

HEAT: Final = "Nozzle, bed and fresh plastic burn: let it cool on the bed, where it also warps least."
STOP: Final = "There are errors among the findings: do not hang this on a wall before they are mended."
FUMES: Final = "Glue by open windows and with gloves."

SAGGING: Final = frozenset({"overhang", "wide_bridge", "island"})
"""Codes of findings about what does not print without support."""
APART: Final = frozenset({"core_above_wall"})
"""Codes of findings about a core that ends above the wall."""


@dataclass(frozen=True)
class WorkOrder:
    """What there is to do for a hold, and to what figures."""

    hold: Hold
    flat_within: float
    """How far the finished back may be from a plane, mm."""
    codes: Collection[str]
    """Of the findings."""
    errors: bool
    """Whether there are errors among them."""
    cards: tuple[JointCard, ...]
    """Of its joint; empty where it was not judged."""
    tabs: int
    """How many corner tabs are printed with it."""
    brim: bool
    """Whether a brim is."""

    def steps(self) -> Iterator[tuple[str, str]]:
        """Give title and text of each thing to do."""
        split = CORE in self.hold.solids
        what = "Shell and core" if split else "The hold"
        support = " Support what the findings name." if SAGGING & set(self.codes) else ""
        yield "Print", f"{what} on the back, with the settings under Print.{support} {HEAT}"
        held = ["the brim"] if self.brim else []
        held += [counted(self.tabs, "corner tab")] if self.tabs else []
        if held:
            yield "Cut free", f"Cut off {' and '.join(held)} with a sharp knife, away from the hand."
        if split:
            how = (
                "it sits tight (it ends above the wall)"
                if APART & set(self.codes)
                else "both backs are level"
            )
            yield (
                "Join",
                f"Push the core into the shell from the back until {how}; dry first, then glued. {FUMES}",
            )
        rims = self.hold.find(Rim)
        if rims:
            yield "Sand the back", self._sanding(rims[-1].allowance)
        if BROKEN_BY_HAND & set(self.codes):
            yield "Break the edges", f"Round what the findings call sharp with file and paper. {EDGES}"
        if self.errors:
            yield "Stop", STOP
        if self.cards:
            yield from wall_practice(self.cards[0])

    def _sanding(self, stock: float) -> str:
        begin = f"Take off the {stock:g} mm of stock on a flat plate," if stock else "On a flat plate,"
        return (
            f"{begin} until a straight edge laid over it shows no gap over {self.flat_within:g} mm; slightly "
            f"hollow is better than rounded. {DUST}"
        )
