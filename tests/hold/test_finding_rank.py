from dataclasses import dataclass

import pytest

from holdwright.hold.finding_rank import SPAN, cost, ranked


@dataclass(frozen=True)
class Told:
    severity: str
    measured: float | None = None
    limit: float | None = None
    unit: str = "mm"


@pytest.mark.parametrize(
    ("told", "mm"),
    [
        (Told("warning", 1.2, 3.0), 1.8),
        (Told("warning", 25.0, 20.0), 5.0),
        (Told("warning", 4.0), 4.0),
        (Told("warning", 400.0, None, "mm2"), 20.0),
        (Told("warning", 27_000.0, None, "mm3"), 30.0),
        (Told("error", 26.0, 20.0, "%"), 6.0),
        (Told("warning", 12.0, None, "%"), 12.0),
        (Told("error", 80.0, 60.0, "deg"), 3.49066),
        (Told("warning", 60.0, None, "deg"), 0.0),  # of an edge: the sharper, the smaller
        (Told("warning", 3.0, 2.0, "MPa"), SPAN / 3),
        (Told("error", 0.5, 1.0, ""), SPAN / 2),
        (Told("error", 0.5, None, ""), SPAN),
        (Told("error"), SPAN),
        (Told("note"), 0.0),
        (Told("warning", 5.0, 0.0, ""), 0.0),
    ],
)
def test_every_unit_is_put_on_the_scale_of_lengths(told: Told, mm: float) -> None:
    assert cost(told) == pytest.approx(mm, abs=1e-4)


def test_severity_goes_before_cost_and_equals_keep_their_order() -> None:
    found = [
        Told("note", 50.0),
        Told("warning", 1.0, 2.0),
        Told("warning", 8_000.0, None, "mm3"),
        Told("error", 2.0, 2.5),
        Told("warning", 5.0, 4.0),
    ]
    order = ranked(enumerate(found), of=lambda each: each[1])
    assert [number for number, _ in order] == [3, 2, 1, 4, 0]
