"""What relieving the back of a hold would gain, without cutting it."""

from dataclasses import dataclass, replace

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import GeometryError
from holdwright.geometry.relief.pocket import ReliefRequest, less, pocket_outlines
from holdwright.hold.cut_surfaces import back_holes
from holdwright.hold.feature import BackPocket
from holdwright.joint.card.joint_card import joint_cards
from holdwright.joint.conditions import Conditions
from holdwright.joint.holding.contact import contact_within
from holdwright.joint.holding.joint_shape import JointShape

USUAL_RELIEF = ReliefRequest()


@dataclass(frozen=True)
class ReliefGain:
    """Safety against turning as a hold is, and as it would be with its back relieved."""

    before: float
    after: float

    @property
    def sentence(self) -> str:
        """The same in words."""
        return f"relieving the back: {self.before:.2g} to {self.after:.2g}"


def relief_gain(
    shape: JointShape,
    conditions: Conditions,
    catalogue: Catalogue,
    request: ReliefRequest = USUAL_RELIEF,
) -> ReliefGain | None:
    """Compute the joint of a hold once as it is and once relieved; some ms.

    Returns
    -------
    ReliefGain | None
        None where the lands leave nothing to relieve, or what they leave does not surround the bolts.

    Raises
    ------
    CatalogueError, ParameterError, GeometryError
        As of `joint_cards`.
    """
    before, other = joint_cards(shape, conditions, catalogue), relieved(shape, request)
    if other is None:
        return None
    try:
        after = joint_cards(other, conditions, catalogue)
    except GeometryError:
        return None
    return ReliefGain(before[0].spin.value or 0.0, after[0].spin.value or 0.0)


def relieved(shape: JointShape, request: ReliefRequest = USUAL_RELIEF) -> JointShape | None:
    """Give the joint of a hold as it would be with its back relieved, by the same pocket that would be cut.

    None where the lands leave nothing to relieve.
    """
    middle = shape.reach.middle
    back = [outline + middle for outline in shape.contact.outlines]
    pocket = pocket_outlines(back, back_holes([*shape.bores, *shape.screws]), request)
    if not pocket:
        return None
    made = BackPocket.of(pocket, request)
    bores = tuple(bore.over(made) for bore in shape.bores)
    left = [outline - middle for outline in less(back, pocket)]
    return replace(shape, bores=bores, contact=contact_within(left, shape.contact.cones), pockets=(made,))
