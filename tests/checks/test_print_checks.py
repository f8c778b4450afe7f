"""Each check of a print: a solid that just passes, one that just fails, and closed forms."""

import numpy as np
import pytest
import pyvista
from manifold3d import CrossSection, Manifold

from checks.printed import RIM, checked, printed
from holdwright.checks.overhang import slopes_below
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import BackPocket
from shapes import block, boulder, frustum, sphere


def solid(kernel: Manifold) -> Solid:
    return Solid.checked(kernel)


def box(x: float, y: float, z: float, at: tuple[float, float, float] = (0, 0, 0)) -> Manifold:
    """A box whose foot is centred on a place."""
    return Manifold.cube((x, y, z), True).translate((at[0], at[1], at[2] + z / 2))


def bridge(span: float, turn: float = 0.0) -> Solid:
    """A slab on two piers with a gap of `span` between them."""
    piers = box(10, 12, 20, (-span / 2 - 5, 0, 0)) + box(10, 12, 20, (span / 2 + 5, 0, 0))
    return solid((piers + box(span + 20, 12, 5, (0, 0, 20))).rotate((0, 0, turn)))


def ball_on_the_bed(radius: float) -> Solid:
    return solid(sphere(radius, 256).kernel.translate((0, 0, radius)))


@pytest.mark.parametrize("angle", [30.0, 45.0, 60.0])
def test_overhang_of_a_ball_is_its_cap_in_closed_form(angle):
    """A cap of slopes below `a` has 2 pi r2 (1 - cos a); its first layer, 2 pi r h, lies on the bed."""
    radius, height = 40.0, 0.4
    found = checked("overhang", printed(ball_on_the_bed(radius), limit_angle=angle))
    cap = 2 * np.pi * radius**2 * (1 - np.cos(np.radians(angle))) - 2 * np.pi * radius * height
    assert found.figure == pytest.approx(cap, rel=0.02)


@pytest.mark.parametrize("seed", range(3))
def test_slopes_are_those_of_a_second_library_s_normals(seed):
    lumpy = boulder(40.0, 0.3, seed)
    poly = pyvista.PolyData.from_regular_faces(lumpy.vertices, lumpy.triangles)
    normals = poly.compute_normals(cell_normals=True, point_normals=False, auto_orient_normals=False)
    down = -np.asarray(normals.cell_data["Normals"])[:, 2].astype(float)
    expected = np.where(down > 0, np.degrees(np.arccos(np.clip(down, -1, 1))), np.inf)
    sure = np.abs(down) > 1e-4
    assert slopes_below(lumpy)[sure] == pytest.approx(expected[sure], abs=0.05)


@pytest.mark.parametrize(("slope", "passes"), [(44.0, False), (46.0, True)])
def test_wedge_overhangs_below_the_limit_angle(slope, passes):
    """A leaning slab: its underside, 30 mm wide and sin(slope) high, is all that looks down."""
    lean = 40.0 / np.tan(np.radians(slope))
    leaning = solid(
        Manifold.hull_points(
            [(x + (lean if z else 0), y, z) for x in (0, 20) for y in (0, 30) for z in (0, 40)]
        )
    )
    found = checked("overhang", printed(leaning))
    assert found.figure == pytest.approx(0.0 if passes else 30.0 * 40.0 / np.sin(np.radians(slope)), rel=0.02)
    assert (not found.findings) == passes


@pytest.mark.parametrize("turn", [0.0, 7.3, 60.0])
@pytest.mark.parametrize(("span", "passes"), [(19.5, True), (20.5, False)])
def test_bridge_is_as_long_as_its_gap(span, passes, turn):
    hold = printed(bridge(span, turn), limit_angle=80.0)
    found = checked("wide_bridge", hold)
    lean = 0.4 / np.tan(np.radians(80.0))  # what a layer may reach beyond the one below, at either end
    assert found.figure == pytest.approx(span - 2 * lean, rel=0.02)
    assert (not found.findings) == passes
    assert not checked("overhang", hold).findings  # what is bridged does not hang as well


def test_ledge_hangs_free_and_is_no_bridge():
    ledge = printed(solid(box(20, 20, 30) + box(40, 20, 5, (10, 0, 25))))
    assert checked("wide_bridge", ledge).words == "nothing to bridge"
    assert checked("overhang", ledge).figure == pytest.approx(20.0 * 20.0)


@pytest.mark.parametrize(("gap", "number"), [(0.0, 0), (2.0, 1)])
def test_island_starts_in_the_air(gap, number):
    """A hook whose tip hangs down: to the bed, or not."""
    hook = box(10, 10, 40) + box(40, 10, 10, (15, 0, 30)) + box(6, 6, 32 - gap, (28, 0, gap))
    found = checked("island", printed(solid(hook)))
    assert (found.figure, len(found.findings)) == (number, number)
    if number:
        assert found.place == pytest.approx((28.0, 0.0, gap + 0.2), abs=0.2)


@pytest.mark.parametrize(("hangs", "number"), [(0.7, 0), (1.5, 1)])
def test_a_bump_below_a_ledge_is_no_island_once_two_layers_join_it(hangs, number):
    bump = box(6, 6, 10, (15, 0, 20 - hangs))
    found = checked("island", printed(solid(box(20, 20, 30) + box(40, 20, 10, (10, 0, 20)) + bump)))
    assert found.figure == number


@pytest.mark.parametrize(("width", "passes"), [(0.9, False), (1.05, True)])
def test_fin_narrower_than_a_line_is_not_printed(width, passes):
    found = checked("too_small", printed(solid(box(30, 30, 10) + box(width, 20, 10, (0, 0, 10)))))
    assert found.figure == pytest.approx(0.0 if passes else width * 20.0, abs=0.02)
    assert (not found.findings) == passes


@pytest.mark.parametrize(("depth", "passes"), [(0.15, True), (0.3, False)])
def test_back_is_flat_within_the_limit(depth, passes):
    uneven = solid(box(40, 40, 20) + box(20, 40, 20, (-20, 0, -depth)))
    found = checked("back_uneven", printed(uneven))
    assert found.figure == pytest.approx(depth, abs=1e-6)
    assert (not found.findings) == passes


@pytest.mark.parametrize(("length", "passes"), [(345.0, True), (480.0, True), (500.0, False)])
def test_bar_fits_the_printer_at_some_turn(length, passes):
    """A square of 350 mm takes a bar 10 mm wide and up to 350 sqrt(2) - 10 = 485 mm long."""
    found = checked("beyond_printer", printed(block(length, 10.0, 20.0)))
    assert (not found.findings) == passes
    assert ("turned" in found.words) == (length == 480.0)


def test_hold_too_high_does_not_fit():
    assert checked("beyond_printer", printed(block(20.0, 20.0, 400.5))).figure == pytest.approx(100.125)


@pytest.mark.parametrize(("cover", "passes"), [(3.3, True), (3.1, False), (0.0, False)])
def test_core_is_covered_by_its_solid_layers(cover, passes):
    whole, core = frustum(40.0, 30.0, 30.0).kernel, frustum(10.0, 10.0, 30.0 - cover).kernel
    found = checked("core_near_grip", printed(solid(whole - core), solid(core)))
    assert found.figure == pytest.approx(cover, abs=1e-6)
    assert (not found.findings) == passes


def test_shell_between_core_and_collar_is_not_over_the_core():
    """A core and a collar 2 mm apart, both from below to within 10 mm of the top, as one part."""
    whole = block(80.0, 60.0, 40.0).kernel
    core = Manifold.cylinder(30.0, 12.0, 12.0, 96) + Manifold.cylinder(30.0, 6.0, 6.0, 96).translate(
        (20, 0, 0)
    )
    found = checked("core_near_grip", printed(solid(whole - core), solid(core)))
    assert not found.findings
    assert found.figure == pytest.approx(10.0)


def test_wall_of_a_ring_passes_by_lines():
    tube = CrossSection.circle(30, 256) - CrossSection.circle(27.9, 256)
    hold = solid(Manifold.extrude(tube, 30))
    assert not checked("thin_wall", printed(hold)).findings
    assert checked("thin_wall", printed(hold, line_width=1.2)).findings


def test_shell_and_core_hold_each_other_up():
    """A pocket under both, and a core that ends within the shell: nothing of either starts in the air."""
    outline = ((-30.0, -20.0), (30.0, -20.0), (30.0, 20.0), (-30.0, 20.0))
    whole = block(80.0, 60.0, 30.0).kernel - box(60.0, 40.0, 1.0)
    core = Manifold.cylinder(15.0, 15.0, 12.0, 96) - box(60.0, 40.0, 1.0)
    pocket = BackPocket(depth=1.0, land=10.0, area=2400.0, outlines=(outline,))
    hold = printed(solid(whole - core), solid(core), features=(RIM, pocket))
    assert checked("island", hold).figure == 0.0
    assert checked("overhang", hold).figure == pytest.approx(0.0, abs=1.0)
    assert checked("wide_bridge", hold).words.endswith("whose step tells of it")
    assert checked("back_uneven", hold).figure == pytest.approx(0.0, abs=1e-9)
    unknown = printed(solid(whole - core), solid(core))
    assert checked("wide_bridge", unknown).figure == pytest.approx(40.0, abs=1.0)
