import numpy as np
import pytest
from scipy.linalg import cho_solve

from holdwright.errors import GeometryError
from holdwright.strength.multigrid import factor


def test_a_motion_that_rounding_has_freed_is_held_all_the_same():
    stiff = np.diag([1.0, 2.0, 4.0])
    stiff[0, 1] = stiff[1, 0] = np.sqrt(2.0) * (1.0 + 3e-6)  # just not positive
    moved = cho_solve(factor(stiff.copy()), np.array([0.0, 0.0, 1.0]))
    assert moved == pytest.approx([0.0, 0.0, 0.25], rel=1e-3)
    with pytest.raises(GeometryError, match="ask for other cells"):
        factor(np.diag([1.0, -1.0]))
