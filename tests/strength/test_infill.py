import pytest

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import ParameterError
from holdwright.printing.print_parameters import PrintParameters
from holdwright.strength.infill import LAWS, infill_law
from holdwright.strength.printed_parts import printed_parts


@pytest.mark.parametrize(
    ("share", "modulus"),
    [(0.2, 0.068), (0.3, 0.115), (0.5, 0.245)],  # own periodic cells, databook 4a
)
def test_gyroid_law_meets_the_cells_it_was_drawn_through(share, modulus):
    found = LAWS["gyroid"].modulus(share)
    assert found.likely == pytest.approx(modulus, rel=0.06)
    assert found.low < modulus < found.high


def test_cubic_law_holds_both_ends_of_its_cell():
    found = LAWS["cubic"].modulus(0.33)
    assert found.low == pytest.approx(0.14, rel=0.02)  # along the diagonal
    assert found.high == pytest.approx(0.25, rel=0.02)  # along an axis


def test_what_is_filled_wholly_is_solid():
    for law in LAWS.values():
        assert law.modulus(1.0).likely == law.strength(1.0).low == 1.0


@pytest.mark.parametrize(
    ("changes", "wanted"),
    [
        (
            {"shell_infill": 5.0},
            "shell with 5% of gyroid infill was asked for, but the law holds from 15% to 60%",
        ),
        ({"core_infill": 80.0}, "core with 80%"),
        ({"shell_infill": 55.0, "infill_pattern": "cubic"}, "from 20% to 50%"),
        ({"shell_material": "TPU 95A"}, "the tables do not tell what that bears once printed"),
    ],
)
def test_settings_outside_the_laws_are_refused_in_a_sentence(changes, wanted):
    with pytest.raises(ParameterError, match=wanted):
        printed_parts(("shell", "core"), PrintParameters(**changes), load_catalogue())


def test_a_grid_has_no_law():
    with pytest.raises(ParameterError, match="choose gyroid, cubic"):
        infill_law("grid", 0.3, "shell")


def test_parts_take_what_the_recipe_prints_them_with():
    parts = printed_parts(("shell", "core"), PrintParameters(core_material="PLA"), load_catalogue())
    assert parts["shell"].in_words == "PETG, 2 mm skin, 35 % infill"
    assert parts["core"].in_words == "PLA, solid"
    assert parts["core"].is_solid
    assert parts["shell"].modulus.likely == pytest.approx(1950.0)
