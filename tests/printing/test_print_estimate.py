"""Mass, filament, time and cost, beside closed forms and a move worked by hand."""

import numpy as np
import pytest

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import CatalogueError, ParameterError
from holdwright.geometry.layers.layer_stack import layer_figures
from holdwright.printing.motion import move_time
from holdwright.printing.print_estimate import print_estimate
from holdwright.printing.print_parameters import USUAL, PrintParameters
from holdwright.printing.print_settings import bead_area, part_settings
from shapes import block, frustum

CATALOGUE = load_catalogue()

FINE = {
    "machine": "220 mm printer, open",
    "nozzle": 0.4,
    "line_width": 0.45,
    "layer_height": 0.2,
    "passes": 4,
    "top_layers": 5,
    "bottom_layers": 5,
    "shell_infill": 15.0,
}


def estimate(solid, part="shell", **changes):
    settings = part_settings(PrintParameters(**changes), CATALOGUE, part)
    return print_estimate(layer_figures(solid, settings.rule), settings)


def test_cylinder_has_mass_and_filament_of_its_closed_form():
    """R 50, H 40: V - (1 - phi) V of what lies within walls and ends; 78 412.104 mm3 of PETG, 1.75 filament.

    Volume of a cylinder; filament's area pi / 4 1.75^2 = 2.405282 mm2.
    """
    found = estimate(frustum(50.0, 50.0, 40.0, 1024), **FINE)
    whole, inside = np.pi * 50.0**2 * 40.0, np.pi * 48.2**2 * 38.0
    laid = whole - 0.85 * inside
    assert laid == pytest.approx(78_412.104)
    assert found.mass.likely == pytest.approx(99.5834, rel=0.01)
    assert found.mass.likely == pytest.approx(laid * 1.27e-3, rel=1e-3)
    # A handbook's first order, the surface times the wall's thickness, counts corners twice: 101.2218 g.
    sides, ends = 2 * np.pi * 50.0 * 40.0 * 1.8, 2 * np.pi * 50.0**2 * 1.0
    first_order = 1.27e-3 * (sides + ends + 0.15 * (whole - sides - ends))
    assert first_order == pytest.approx(101.2218, abs=1e-4)
    assert 0.98 < found.mass.likely / first_order < 1.0
    assert found.filament.likely / 1.02 == pytest.approx(32.6000, rel=0.01)
    assert found.mass.low < found.mass.likely < found.mass.high


def test_core_is_filled_as_its_own_setting_says():
    found = estimate(block(20.0, 20.0, 10.0), part="core")
    assert found.mass.likely == pytest.approx(4.0 * 1.27, rel=1e-3)
    light = estimate(block(20.0, 20.0, 10.0), part="core", core_material="PLA", core_infill=0.0)
    assert light.mass.likely < 0.85 * 4.0 * 1.24


def test_moves_take_the_time_of_a_trapezoid_worked_by_hand():
    """100 mm at 60 mm/s and 1000 mm/s2 from 10 mm/s: 0.05 s and 1.75 mm up, as much down, 96.5 mm between."""
    assert move_time(np.array([100.0]), 60.0, 1000.0, 10.0) == pytest.approx(0.1 + 96.5 / 60.0)
    # 1 mm: up to sqrt(100 + 1000) = 33.166 mm/s and down again.
    assert move_time(np.array([1.0]), 60.0, 1000.0, 10.0) == pytest.approx(2 * (33.16625 - 10.0) / 1000.0)
    assert move_time(np.array([30.0]), 60.0, 1e12, 60.0) == pytest.approx(0.5)


def test_time_of_a_box_is_that_of_its_moves():
    """Only passes: each layer four moves of one square, one way to it, one layer change."""
    machine = next(row for row in CATALOGUE.machines if row.name == "220 mm printer, open")
    changes = {**FINE, "passes": 1, "top_layers": 0, "bottom_layers": 0, "shell_infill": 0.0}
    found = estimate(block(50.0, 50.0, 20.0), **changes).time
    side = move_time(np.array([49.55]), 60.0, machine.acceleration, machine.corner_speed)
    way = move_time(np.array([25.0]), 150.0, 1000.0, machine.corner_speed)
    assert found.likely == pytest.approx(100 * (4 * side[0] + way[0] + 2.0), rel=0.01)
    assert found.low < found.likely < found.high


def test_melting_bounds_the_speed():
    slow = part_settings(PrintParameters(shell_material="TPU 95A"), CATALOGUE, "shell")
    fast = part_settings(PrintParameters(shell_material="PLA"), CATALOGUE, "shell")
    assert slow.speed.likely < fast.speed.likely <= fast.machine.speed
    # 4.5 mm3/s from 0.4 mm, 1.3 * 2.5^1.3 times that here, through a bead of 1.0 x 0.4 mm.
    assert slow.speed.likely == pytest.approx(4.5 * 1.3 * 2.5**1.3 / bead_area(1.0, 0.4))


def test_bead_is_that_of_the_published_formula():
    """(w - h) h + pi h^2 / 4: 0.45 x 0.20 gives 0.0814159 mm2, 0.90 x 0.40 gives 0.3256637."""
    assert bead_area(0.45, 0.2) == pytest.approx(0.0814159, abs=1e-7)
    assert bead_area(0.9, 0.4) == pytest.approx(0.3256637, abs=1e-7)


def test_price_is_the_tables_range_or_the_makers_own():
    row = estimate(block())
    own = estimate(block(), shell_price=20.0)
    assert row.cost.low < own.cost.likely < row.cost.high
    grams = own.filament.likely * 1000 * np.pi / 4 * 1.75**2 * 1.27e-3
    assert own.cost.likely == pytest.approx(grams / 1000 * 20.0)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"nozzle": 0.4, "line_width": 0.45}, "Layers of 0.4 mm were asked for from a nozzle of 0.4 mm"),
        ({"line_width": 0.5}, "A line 0.5 mm wide was asked for from a nozzle of 1 mm"),
        ({"line_width": 2.5}, "which draws 0.8 to 2 mm"),
        ({"passes": 0, "shell_infill": 0.0}, "nothing of the shell prints"),
        ({"passes": 0, "core_infill": 0.0}, "nothing of the core prints"),
        (
            {"line_width": 0.8, "wall_lines": 1},
            "A least wall of 0.8 mm was asked for, but the nozzle of 1 mm",
        ),
    ],
)
def test_settings_that_do_not_go_together_are_a_sentence(changes, sentence):
    with pytest.raises(ParameterError) as caught:
        part_settings(PrintParameters(**changes), CATALOGUE, "shell")
    assert sentence in str(caught.value)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"shell_material": "cheese"}, "The material 'cheese' was requested, but there is no such row; try "),
        (
            {"machine": "9 m printer"},
            "The printer '9 m printer' was requested, but there is no such row; try ",
        ),
    ],
)
def test_rows_that_are_not_there_are_a_sentence(changes, sentence):
    with pytest.raises(CatalogueError) as caught:
        part_settings(PrintParameters(**changes), CATALOGUE, "shell")
    assert str(caught.value).startswith(sentence)


@pytest.mark.parametrize(
    ("name", "value"),
    [("nozzle", 0.0), ("layer_height", 3.0), ("shell_infill", 101.0), ("passes", -1), ("limit_angle", 91.0)],
)
def test_figures_out_of_range_are_refused(name, value):
    with pytest.raises(ValueError, match=name):
        PrintParameters(**{name: value})


OWN = """
[[machine]]
name = "own printer"
volume = [180.0, 180.0, {height}]
enclosed = false
speed = 50.0
travel = 120.0
acceleration = 800.0
corner_speed = 6.0
layer_change = [2.0, 4.0]
flow_factor = 1.0
source = "measured"
tag = "P"

[[material]]
name = "own plastic"
density = {density}
tensile = [30.0, 40.0]
modulus = [1.0, 2.0]
source = "its seller's sheet"
tag = "S"

[[print_setting]]
material = "own plastic"
shrinkage = [0.3, 0.5]
moisture = "low"
warp = "low"
nozzle = [200.0, 220.0]
bed = [50.0, 60.0]
cost = [20.0, 20.0]
z_share = {share}
flow = [8.0, 9.0]
source = "its seller's sheet"
tag = "S"
"""
RIGHT = {"height": 190.0, "density": 1.5, "share": "[0.5, 0.6]"}


def test_own_rows_print(tmp_path):
    (tmp_path / "own.toml").write_text(OWN.format(**RIGHT), "utf-8")
    requested = PrintParameters(shell_material="own plastic", machine="own printer")
    settings = part_settings(requested, load_catalogue(own=tmp_path), "shell")
    found = print_estimate(layer_figures(block(20.0, 20.0, 1.6), settings.rule), settings)
    assert found.mass.likely == pytest.approx(0.64 * 1.5, rel=1e-3)  # all solid layers
    assert found.cost.likely == pytest.approx(found.mass.likely * 1.02 * 0.02, rel=1e-3)
    assert settings.machine.volume[2] == 190.0


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        (
            {"height": -1.0},
            r"row 1 \(own printer\), field 'volume': .*three lengths above 0",
        ),
        ({"density": 0.0}, r"row 1 \(own plastic\), field 'density': must be more than 0"),
        ({"share": "[0.6, 0.5]"}, r"field 'z_share': .*the lowest, 0.6, is above the highest, 0.5"),
    ],
)
def test_own_figures_out_of_range_are_named(tmp_path, wrong, sentence):
    (tmp_path / "own.toml").write_text(OWN.format(**{**RIGHT, **wrong}), "utf-8")
    with pytest.raises(CatalogueError, match=sentence):
        load_catalogue(own=tmp_path)


def test_usual_settings_are_the_rule_of_thumb():
    settings = part_settings(USUAL, CATALOGUE, "core")
    assert (settings.rule.width * settings.rule.passes, settings.infill) == (2.0, 1.0)
    assert part_settings(USUAL, CATALOGUE, "shell").infill == 0.35
