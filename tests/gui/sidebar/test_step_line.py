"""Numbers of steps and figures on their lines, shortened whole."""

import pytest
from PySide6.QtGui import QFontMetrics

from holdwright.gui.sidebar.step_line import shortened
from holdwright.gui.sidebar.step_state import shop_numbers
from holdwright.operations import OPERATIONS
from holdwright.pipeline.recipes.recipe import Step


def test_every_step_has_a_number_of_its_own():
    titles = {operation.name: operation for operation in OPERATIONS}

    def steps(*names: str) -> list[Step]:
        return [
            Step(f"s{place}", name, 1, titles.get(name, OPERATIONS[0]).parameters())
            for place, name in enumerate(names)
        ]

    bores = steps("import_sculpt", "cut_bore", "cut_bore", "cut_bore", "split_core")
    assert tuple(shop_numbers(bores).values()) == ("10", "60", "61", "62", "80")
    many = tuple(shop_numbers(steps(*["cut_bore"] * 7, *["cut_screw_hole"] * 6)).values())
    assert many == (
        *("60", "61", "62", "63", "64", "64.1", "64.2"),
        *("65", "66", "67", "68", "68.1", "68.2"),
    )
    unknown = steps("import_sculpt", "polish_by_hand", "trim_base")
    assert tuple(shop_numbers(unknown).values()) == ("10", "11", "40")


def test_a_size_is_shortened_to_whole_millimetres_and_then_to_bare_figures(qapp):
    metrics = QFontMetrics(qapp.font())
    size, rounded, bare = "119.9 / 107.1 / 67.9 mm", "120 / 107 / 68 mm", "120 / 107 / 68"
    for text in (size, rounded, bare):
        assert shortened(f"{size}, size M", metrics, metrics.horizontalAdvance(text)) == text


@pytest.mark.parametrize(
    ("width", "shown"),
    [
        (400, "seat 37.2 mm thick, at 1.3, -13.5 mm"),
        (140, "seat 37.2 mm thick"),
        (118, "seat 37 mm thick"),
        (20, ""),
    ],
)
def test_figures_are_shortened_whole(qapp, width, shown):
    metrics = QFontMetrics(qapp.font())
    scale = metrics.horizontalAdvance("seat 37.2 mm thick") / 126
    text = shortened("seat 37.2 mm thick, at 1.3, -13.5 mm", metrics, round(width * scale))
    assert text == shown
