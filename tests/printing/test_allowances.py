"""Each allowance apart, against closed forms."""

from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest

import finished
import shapes
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import CatalogueError, ParameterError
from holdwright.geometry.mesh.frame import placement
from holdwright.hold.feature import Bore, Envelope, Rim, ScrewHole
from holdwright.hold.hold import CORE, SHELL, WHOLE, Hold
from holdwright.printing.allowances import HoleAllowance, allowances_of, hold_allowances, in_print_size
from holdwright.printing.print_parameters import PrintParameters

AXIS = (0.0, 0.0, 1.0)


@pytest.fixture(scope="module")
def hold() -> Hold:
    """Blocks of 100 x 80 x 42 mm, 2 mm of which are to be sanded off, 1 % of shrinkage typed."""
    block = shapes.block(100, 80, 42).moved(placement(shift=np.array([0.0, 0.0, -2.0])))
    features = (
        Envelope("circle", (120.0,), 120.0, (100.0, 80.0, 40.0), 1.0, 1.0),
        Rim(height=3.0, allowance=2.0, chamfer=0.5, area=8000.0, islands=1, holes=0),
        Bore(5.0, 6.0, AXIS, 11.4, 30.4, 15.0, 15.0, "M10", None, allowance=0.4),
        Bore(9.0, 9.0, AXIS, 11.0, 30.0, 15.0, 15.0, "M10", None),
    )
    solids = MappingProxyType({SHELL: block, CORE: shapes.block(20, 20, 20)})
    return Hold(solids=solids, features=features, sized=True)


def test_each_stands_apart_and_both_sizes(hold: Hold) -> None:
    found = hold_allowances(hold, PrintParameters(), load_catalogue())
    assert found.true_size == pytest.approx((100, 80, 40))
    assert found.print_size == pytest.approx(np.array([100, 80, 42]) / 0.99)
    assert (found.sanding_stock, found.shrinkage[SHELL].factor) == (2.0, pytest.approx(1 / 0.99))
    assert [(each.x, each.allowance) for each in found.holes] == [(5.0, 0.4)]
    assert found.in_words == [
        "1 % shrinkage (factor 1.01010)",
        "2 mm of sanding stock",
        "holes wider by 0.4 mm",
    ]


def test_solids_grow_by_the_cube(hold: Hold) -> None:
    grown = in_print_size(hold.solids, hold_allowances(hold, PrintParameters(), load_catalogue()))
    assert grown[SHELL].volume == pytest.approx(100 * 80 * 42 / 0.99**3, rel=1e-12)


def test_each_part_shrinks_as_its_material(hold: Hold) -> None:
    catalogue = load_catalogue()
    rows = {each.name: each.print_setting.shrinkage for each in catalogue.materials if each.print_setting}
    requested = PrintParameters(shrinkage="of the material", shell_material="PETG", core_material="ABS")
    found = hold_allowances(hold, requested, catalogue)
    for part, material in ((SHELL, "PETG"), (CORE, "ABS")):
        low, high = rows[material]
        percent = found.shrinkage[part].percent
        assert (percent.low, percent.high) == (low, high)
        assert found.shrinkage[part].factor == pytest.approx(1 / (1 - (low + high) / 200))
    assert found.in_words[0].startswith("0.35 % shrinkage of the shell")


def test_nothing_is_allowed_for_unless_requested() -> None:
    boulder = finished.hold_of(finished.split(finished.bored_boulder()))
    found = hold_allowances(boulder, PrintParameters(), load_catalogue())
    assert found.true_size == found.print_size
    assert not found.in_words


def test_print_size_is_that_of_both_parts_each_with_its_own_factor() -> None:
    """A core of ABS that stands out of a shell of PETG at the top: each end belongs to another part."""
    catalogue = load_catalogue()
    bounds = {
        SHELL: np.array([[-50, -40, 0], [50, 40, 30.0]]),
        CORE: np.array([[-10, -10, 0], [10, 10, 60.0]]),
    }
    requested = PrintParameters(shrinkage="of the material", shell_material="PETG", core_material="ABS")
    found = allowances_of((), bounds, requested, catalogue)
    shell, core = (found.shrinkage[part].factor for part in (SHELL, CORE))
    assert found.true_size == (100, 80, 60)
    assert found.print_size == pytest.approx((100 * shell, 80 * shell, 60 * core), rel=1e-12)
    assert shell < core


def test_stock_is_in_the_print_size_alone_and_grows_with_it() -> None:
    """No rim, no stock: then what lies below z = 0 belongs to the hold."""
    bounds = {WHOLE: np.array([[0, 0, -1.5], [10, 10, 20.0]])}
    rim = Rim(height=3.0, allowance=1.5, chamfer=0.0, area=100.0, islands=1, holes=0)
    typed = Envelope("circle", (120.0,), 120.0, (10.0, 10.0, 20.0), 1.0, 4.0)
    with_stock = allowances_of((typed, rim), bounds, PrintParameters(), load_catalogue())
    assert with_stock.true_size[2] == 20.0
    assert with_stock.print_size[2] == pytest.approx(21.5 / 0.96)
    without = allowances_of((typed,), bounds, PrintParameters(), load_catalogue())
    assert without.true_size[2] == 21.5
    assert without.sanding_stock == 0.0


def test_the_last_trim_counts_and_holes_without_allowance_are_not_told() -> None:
    rims = [Rim(height=3.0, allowance=each, chamfer=0.0, area=1.0, islands=1, holes=0) for each in (2.0, 0.5)]
    screw = ScrewHole(1.0, 2.0, AXIS, 5.2, 10.0, 90.0, 12.0, 45.0, "wood screw", allowance=0.2)
    found = allowances_of(
        (*rims, screw), {WHOLE: np.array([[0, 0, 0], [9, 9, 9.0]])}, PrintParameters(), load_catalogue()
    )
    assert found.sanding_stock == 0.5
    assert found.holes == (HoleAllowance(1.0, 2.0, "wood screw", 0.2),)
    assert found.in_words == ["0.5 mm of sanding stock", "holes wider by 0.2 mm"]


def test_a_material_whose_shrinkage_nobody_knows() -> None:
    known = load_catalogue()
    bare = "PETG"
    catalogue = replace(
        known,
        materials=tuple(replace(each, print_setting=None) for each in known.materials if each.name == bare),
    )
    requested = PrintParameters(shrinkage="of the material", shell_material=bare)
    bounds = {SHELL: np.array([[0, 0, 0], [9, 9, 9.0]])}
    with pytest.raises(ParameterError, match=f"material '{bare}' was asked for"):
        allowances_of((), bounds, requested, catalogue)
    assert not allowances_of((), bounds, PrintParameters(shell_material=bare), catalogue).in_words
    with pytest.raises(CatalogueError, match="printing clay"):
        allowances_of(
            (),
            bounds,
            PrintParameters(shrinkage="of the material", shell_material="printing clay"),
            catalogue,
        )
