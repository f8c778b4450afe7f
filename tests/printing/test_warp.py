"""Lift of corners beside the closed forms of a bent strip."""

import numpy as np
import pytest

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.geometry.layers.bed_contact import AROUND, bed_contact
from holdwright.geometry.measure.sections import section
from holdwright.printing.print_parameters import PrintParameters
from holdwright.printing.print_settings import part_settings
from holdwright.printing.warp import OPEN, WARM, lift, shrinkage, warp
from holdwright.ranges import Range
from shapes import block, frustum


def settings(material: str = "PETG", machine: str = "350 mm printer, open"):
    requested = PrintParameters(shell_material=material, machine=machine)
    return part_settings(requested, load_catalogue(), "shell")


def contact(solid):
    return bed_contact(solid.mesh, section(solid, 0.2))


def test_a_bar_lifts_by_its_length_squared():
    # Curvature k bends a bar of length L up at its ends by k L^2 / 8.
    length, height, loss = 200.0, 40.0, 0.004
    found = lift(Range(loss, loss, loss), length / 2.0, height, 0.4)
    assert found.likely == pytest.approx(loss / height * length**2 / 8.0)
    assert found.high == pytest.approx(1.5 * found.likely)
    # Layer by layer, n layers each bend those below: 6 loss (n - 1) / (n^3 h) of published work, for large n.
    n, h = 100, 0.4
    assert found.low == pytest.approx(6.0 * loss * (n - 1) / (n**3 * h) * length**2 / 8.0, rel=0.02)


def test_two_equal_halves_bend_most():
    # Timoshenko's strip of two metals as stiff as each other, by the thickness of one over the other's.
    ratio = np.geomspace(0.01, 100.0, 2001)
    bends = 6.0 * (1.0 + ratio) ** 2 / (3.0 * (1 + ratio) ** 2 + (1.0 + ratio) * (ratio**2 + 1.0 / ratio))
    assert bends.max() == pytest.approx(lift(Range(1, 1, 1), 2.0**0.5, 100.0, 0.4).high * 100.0)


def test_what_is_low_is_kept_warm():
    one = Range(0.01, 0.01, 0.01)
    assert lift(one, 50.0, 1.0, 0.2) == lift(one, 50.0, WARM, 0.2)
    assert lift(one, 50.0, 2.0 * WARM, 0.2).likely < lift(one, 50.0, WARM, 0.2).likely


def test_a_block_stands_on_four_corners():
    found = contact(block(160.0, 80.0, 40.0))
    assert found.area == pytest.approx(160.0 * 80.0)
    assert found.longest == pytest.approx(np.hypot(160.0, 80.0))
    assert len(found.places) == 4
    for each in found.places:
        assert each.corner is not None
        assert each.arm == pytest.approx(np.hypot(80.0, 40.0))
        assert each.height == pytest.approx(40.0)
        assert each.volume == pytest.approx(np.pi / 4.0 * AROUND**2 * 40.0, rel=0.15)


def test_a_round_base_lifts_at_its_edge():
    found = contact(frustum(60.0, 30.0, 40.0))
    assert [each.corner for each in found.places] == [None]
    assert found.places[0].arm == pytest.approx(60.0, abs=0.3)
    assert found.places[0].height < 20.0  # the cone is low at its edge


def test_shrinkage_is_expansion_times_the_fall_or_what_the_table_has():
    petg = shrinkage(settings("PETG"), enclosed=False)
    assert petg.likely == pytest.approx(70e-6 * (80.0 - OPEN.likely))
    assert petg.low < petg.likely < petg.high
    # Nylon sets near room temperature, and shrinks as it crystallises.
    assert shrinkage(settings("PA12"), enclosed=False).likely == pytest.approx(0.0115)
    assert shrinkage(settings("TPU 95A"), enclosed=False) == Range(0.0, 0.0, 0.0)


@pytest.mark.parametrize("material", ["PLA", "PETG", "ASA", "ABS", "PA12", "PC"])
def test_an_enclosure_lessens_it(material):
    opened, closed = (shrinkage(settings(material), enclosed) for enclosed in (False, True))
    assert closed.low <= opened.low
    assert closed.likely < opened.likely
    assert closed.high < opened.high


def test_grades_and_the_stock_for_sanding():
    small = warp(contact(block(80.0, 60.0, 40.0)), settings("PLA"))
    assert (small.worst.grade, small.stock) == ("little", 0.0)
    some = warp(contact(block(160.0, 120.0, 40.0)), settings("PETG"))
    assert some.worst.grade == "some"
    assert some.stock == 0.5
    much = warp(contact(block(300.0, 200.0, 40.0)), settings("ABS"))
    assert much.worst.grade == "much"
    assert much.stock == pytest.approx(np.ceil(2.0 * much.worst.height.likely) / 2.0)
    assert much.worst.mass > 0.0
    assert warp(much.contact, settings("ABS"), enclosed=True).worst.height.likely < much.worst.height.likely
    enclosed = settings("ABS", "500 mm printer, enclosed")
    assert warp(much.contact, enclosed) == warp(much.contact, enclosed, enclosed=True)


def test_where_the_part_is_higher_it_lifts_less():
    low, high = (warp(contact(block(200.0, 100.0, height)), settings()) for height in (20.0, 60.0))
    assert low.worst.height.likely == pytest.approx(3.0 * high.worst.height.likely)
