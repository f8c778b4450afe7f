"""What of a hold was cut, told from what its climber grips."""

from collections.abc import Iterable, Sequence

from holdwright.geometry.hole.grip_surface import HoldSurface
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.relief.pocket import BackHoles
from holdwright.hold.feature import BackPocket, Bore, Feature, Rim, ScrewHole


def holes(features: Iterable[Feature]) -> list[Hole]:
    """Give all that was cut through a hold, in order: none of it is grip surface."""
    return [feature.hole for feature in features if isinstance(feature, Bore | ScrewHole)]


def back_holes(features: Sequence[Feature]) -> BackHoles:
    """Give the same by kind, for a pocket in the back."""
    bores, screws = ([each.hole for each in features if isinstance(each, kind)] for kind in (Bore, ScrewHole))
    return BackHoles(bores, screws)


def hold_surface(mesh: Mesh, features: Sequence[Feature]) -> HoldSurface:
    """Tell a hold's grip surface from its rim, its back and what was cut into it."""
    rims = [feature.height for feature in features if isinstance(feature, Rim)]
    pockets = [feature for feature in features if isinstance(feature, BackPocket)]
    return HoldSurface(mesh, holes(features), rims[-1] if rims else 0.0, pockets)
