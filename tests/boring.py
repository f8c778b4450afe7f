"""Boring holds in tests: the step with some values changed, and what it says."""

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.hold import Hold
from holdwright.operations.base import Outcome, Run
from holdwright.operations.cut_bore import CutBore, CutBoreParameters
from shapes import boulder

CATALOGUE = load_catalogue()


def bored(solid: Solid | Hold, **values: object) -> Outcome:
    hold = solid if isinstance(solid, Hold) else Hold(sized=True).with_whole(solid)
    return CutBore().apply(hold, CutBoreParameters(**values), Run(CATALOGUE))


def codes(outcome: Outcome) -> dict[str, str]:
    """What deserves a look; why a place was chosen is told always."""
    return {each.code: each.severity for each in outcome.findings if each.code != "place_chosen"}


def rock(seed: int = 1) -> Solid:
    solid = boulder(55.0, 0.25, seed)
    return Solid.checked(solid.kernel.trim_by_plane((0, 0, 1), -20.0).translate((0, 0, 20.0)))
