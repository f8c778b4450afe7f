"""What one sees of a hold when it is cut open through its bolt."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from holdwright.geometry.arrays import Floats
from holdwright.geometry.measure.sections import Outlines, section
from holdwright.hold.feature import Bore
from holdwright.hold.hold import Hold


@dataclass(frozen=True, eq=False)
class Profile:
    """A hold cut open along the axis of one bore."""

    parts: Mapping[str, Outlines]
    """Closed outlines (n, 2) of each solid, by its name: first upward along the wall, then outward along the
    axis, mm from where the axis meets the wall."""


def profile_of(hold: Hold, bore: Bore) -> Profile:
    """Cut a hold open by the plane through a bore's axis that is nearest to upright on the wall."""
    frame = _frame(bore)
    parts = {name: section(solid.moved(frame), 0.0) for name, solid in hold.solids.items()}
    return Profile({name: outlines for name, outlines in parts.items() if outlines})


def _frame(bore: Bore) -> Floats:
    """Give the (4, 4) placement that turns upward to x and the axis to y."""
    axis = np.array(bore.axis)
    up = np.array([0.0, 1.0, 0.0]) - axis[1] * axis
    up /= np.linalg.norm(up)
    frame = np.eye(4)
    frame[:3, :3] = np.stack([up, axis, np.cross(up, axis)])
    frame[:3, 3] = -frame[:3, :3] @ (bore.x, bore.y, 0.0)
    return frame
