"""The least wall, beside plates of known thickness."""

import pytest

from printed import checked, printed
from shapes import block


@pytest.mark.parametrize(("thickness", "passes"), [(2.01, True), (1.99, False), (0.9, False)])
def test_plate_passes_from_as_many_lines_as_are_asked_for(thickness, passes):
    found = checked("thin_wall", printed(block(60.0, thickness, 40.0)))
    assert found.figure == pytest.approx(thickness, abs=2e-3)
    assert (not found.findings) == passes
