"""Whether the camera stays where it is when another result comes into the view."""

from typing import Final

import numpy as np

from holdwright.pipeline.views.display_results import ShownStep

SPECK: Final = 5.0
"""How many times larger or smaller a hold is looked at anew."""


def keeps_view(before: ShownStep | None, step: ShownStep) -> bool:
    """Tell whether the camera stays: in the same frame, and where a step was changed and its back was not.

    So it does at the end of a drag, which would tear the hold from under the pointer. Of a size that no drag
    gives, all but a speck of the hold would be missed.
    """
    if before is None or not 1 / SPECK < _extent(step) / _extent(before) < SPECK:
        return False
    if np.allclose(before.placement, step.placement):
        return True
    turned = np.linalg.solve(before.placement.T, step.placement.T).T[:3, 2]
    return before.id == step.id and bool(turned[2] > 0.999 * np.linalg.norm(turned))


def _extent(step: ShownStep) -> float:
    """Give a hold's greatest extent, mm; 1 where it was not measured."""
    return float(np.ptp(np.array(step.measures.bounds_mm), axis=0).max()) if step.measures else 1.0
