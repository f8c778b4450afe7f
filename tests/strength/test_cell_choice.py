from dataclasses import replace

import pytest
from manifold3d import Manifold

from holdwright.geometry.mesh.solid import Solid
from holdwright.strength.cell_choice import MOST_BYTES, cell_size, memory_needed
from strength.lipped import lipped_hold


def sized(kernel: Manifold):
    return replace(lipped_hold(40.0), whole=Solid.checked(kernel))


@pytest.mark.parametrize(("side", "fine"), [(120.0, 2.0), (240.0, 3.2), (30.0, 0.8)])
def test_cells_go_by_the_size_of_the_hold(side, fine):
    loaded = sized(Manifold.cube((side, 0.6 * side, 0.3 * side)))
    assert cell_size(loaded, "fine") == pytest.approx(fine)
    assert cell_size(loaded, "preview") == pytest.approx(1.5 * fine)
    assert cell_size(loaded, 2.5) == 2.5


def test_a_hold_that_is_all_surface_gets_larger_cells_rather_than_more_memory():
    plates = [Manifold.cube((120, 120, 1)).translate((0, 0, 3 * number)) for number in range(20)]
    loaded = sized(sum(plates, Manifold.cube((2, 120, 60))))
    fine = cell_size(loaded, "fine")
    assert fine > 2.5
    assert 0.9 * MOST_BYTES < memory_needed(loaded, fine) <= MOST_BYTES < memory_needed(loaded, 2.0)
