import numpy as np
import pytest

from holdwright.strength.measure import von_mises
from holdwright.strength.strength_index import SHEARED, Borne, parting, strength_used

Z = np.array([0.0, 0.0, 1.0])


def tensor(stress) -> np.ndarray:
    x, y, z, yz, zx, xy = stress
    return np.array([(x, xy, zx), (xy, y, yz), (zx, yz, z)])


def test_von_mises_meets_its_definition():
    """Handbook cases: uniaxial s, pure shear sqrt(3) t, none under equal pressure; the deviator's norm."""
    stress = np.array(
        [(30, 0, 0, 0, 0, 0), (0, 0, 0, 10, 0, 0), (-7, -7, -7, 0, 0, 0), (4, 9, -3, 2, 5, 1)], np.float32
    )
    deviator = tensor(stress[3]) - np.eye(3) * np.trace(tensor(stress[3])) / 3.0
    wanted = [30.0, np.sqrt(3.0) * 10.0, 0.0, np.sqrt(1.5 * (deviator**2).sum())]
    assert von_mises(stress) == pytest.approx(wanted, abs=1e-4)


def test_what_parts_layers_is_the_traction_across_them():
    stress = np.array([(4, 9, -3, 2, 5, 1), (4, 9, 6, 2, 5, 1)], np.float32)
    for normal in (Z, np.array([0.6, 0.0, 0.8])):
        for row, found in zip(stress, parting(stress, normal), strict=True):
            pull = tensor(row) @ normal
            across = pull @ normal
            shear = np.linalg.norm(pull - across * normal)
            assert found == pytest.approx(np.hypot(max(across, 0.0), shear / SHEARED), rel=1e-4)


def test_pressure_across_layers_does_not_part_them():
    pressed = np.array([(0, 0, -40, 0, 0, 0)], np.float32)
    assert parting(pressed, Z) == pytest.approx([0.0])
    used, parted = strength_used(pressed, Borne(np.float32([40.0]), np.float32([20.0])), Z)
    assert used == pytest.approx([1.0])
    assert not parted[0]


def test_a_bar_pulled_across_its_layers_bears_less():
    pulled = np.array([(0, 0, 20, 0, 0, 0)], np.float32)
    borne = Borne(np.float32([40.0]), np.float32([20.0]))
    across, parted = strength_used(pulled, borne, Z)
    along, torn = strength_used(pulled, borne, np.array([1.0, 0.0, 0.0]))
    assert (across[0], along[0]) == pytest.approx((1.0, 0.5))
    assert parted[0]
    assert not torn[0]
