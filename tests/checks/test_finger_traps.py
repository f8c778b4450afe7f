"""Gaps of a hold that may catch a finger."""

import pytest
from manifold3d import Manifold

from checks.printed import RIM, checked, printed
from holdwright.errors import ParameterError
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore
from shapes import block


def slotted(width: float, depth: float, long: float = 40.0) -> Solid:
    cut = Manifold.cube((width, 2 * long, 2 * depth), True).translate((3.3, 0.0, 40.0))
    return Solid.checked(block(56.0, long, 40.0).kernel - cut)


@pytest.mark.parametrize(
    ("width", "depth", "passes"),
    [(12.0, 13.0, True), (12.0, 17.0, False), (7.5, 25.0, True), (25.5, 25.0, True), (24.5, 25.0, False)],
)
def test_a_slit_just_passes_and_one_just_fails(width, depth, passes):
    found = checked("finger_trap", printed(slotted(width, depth)))
    assert (not found.findings) == passes
    if not passes:
        (finding,) = found.findings
        assert finding.measured == pytest.approx(depth, abs=2.0)
        assert f"{width:.0f} mm wide" in finding.message
        assert finding.where[2] == pytest.approx(40.0 - depth, abs=1.4)


@pytest.mark.parametrize(("depth", "severity"), [(21.0, "note"), (29.0, "warning")])
def test_a_gap_no_deeper_than_a_finger_s_last_joint_is_a_note(depth, severity):
    (finding,) = checked("finger_trap", printed(slotted(12.0, depth, 70.0))).findings
    assert finding.severity == severity


def test_the_range_is_editable():
    assert checked("finger_trap", printed(slotted(12.0, 17.0), finger_from=13.0)).figure is None
    assert not checked("finger_trap", printed(slotted(12.0, 17.0), finger_depth=20.0)).findings
    with pytest.raises(ParameterError, match="begin with the narrower width"):
        printed(slotted(12.0, 17.0), finger_from=30.0)


def test_the_hole_of_a_bolt_is_no_trap_and_any_other_is():
    bored = Solid.checked(block(56.0, 40.0, 40.0).kernel - Manifold.cylinder(90, 8, 8, 64, True))
    assert checked("finger_trap", printed(bored)).findings
    bore = Bore(0.0, 0.0, (0.0, 0.0, 1.0), 16.0, 16.0, 15.0, 15.0, "M10", None)
    assert checked("finger_trap", printed(bored, features=(RIM, bore))).figure is None


def test_shell_and_core_are_one_hold():
    core = Manifold.cylinder(30.0, 7.0, 7.0, 64)
    shell = Solid.checked(block(56.0, 40.0, 40.0).kernel - core)
    assert checked("finger_trap", printed(shell, Solid.checked(core))).figure is None
