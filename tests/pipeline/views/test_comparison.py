"""Two finished holds compared by their figures and findings."""

from dataclasses import replace

import pytest

from holdwright.hold.feature import Bore, Rim
from holdwright.hold.finding import Finding
from holdwright.hold.hold_measures import HoldMeasures
from holdwright.pipeline.replaying.replay import StepSummary
from holdwright.pipeline.views.comparison import compare, finished_state

RIM = Rim(3.0, 0.5, 0.0, 900.0, 1, 0)
BORE = Bore(0.0, 0.0, (0.0, 0.0, 1.0), 10.5, 26.0, 15.0, 15.0, "M10", None, wall=9.0)
THIN = Finding("thin_under_seat", "warning", "11 mm are left under the seat.")
MENDED = Finding("holes_filled", "note", "2 holes were filled.")


def _state(size, volume, *found, features=(RIM, BORE), turning=1.5):
    x, y, z = size
    measures = HoldMeasures(volume, ((-x / 2, 0.0, -0.5), (x / 2, y, z)))
    steps = [StepSummary(*[name] * 4, findings=findings, measures=measures) for name, findings in found]
    return finished_state(steps, features, {} if turning is None else {"turning": turning})


def test_size_volume_and_margins_are_told_from_old_to_new():
    thinner = replace(BORE, thickness_under_seat=12.2, wall=9.0)
    old = _state((100.0, 80.0, 40.0), 200_000.0, ("s1", ()))
    new = _state((102.1, 80.0, 38.0), 212_000.0, ("s1", ()), features=(RIM, thinner), turning=1.25)
    change = compare(old, new)
    assert [(each.name, *each.written) for each in change.figures] == [
        ("width", "100.0 mm", "102.1 mm", "+2.1 mm"),
        ("height", "80.0 mm", "80.0 mm", "-"),
        ("depth", "40.0 mm", "38.0 mm", "-2.0 mm"),
        ("volume", "200.0 cm3", "212.0 cm3", "+12.0 cm3"),
        ("thickness left under the seat of the bore", "15.0 mm", "12.2 mm", "-2.8 mm"),
        ("wall round the bore", "9.0 mm", "9.0 mm", "-"),
        ("safety against turning", "1.50", "1.25", "-0.25"),
    ]
    assert change.sentence == "2.1 mm wider, 2.0 mm shallower, 12.0 cm3 more"


def test_findings_are_gained_and_lost_by_code_and_step():
    size = (100.0, 80.0, 40.0)
    old = _state(size, 1e5, ("s1", (MENDED, MENDED)), ("s5", ()))
    reworded = replace(MENDED, message="3 holes were filled.")
    new = _state(size, 1e5, ("s1", (reworded,)), ("s5", (THIN,)))
    change = compare(old, new)
    assert (change.gained, change.lost) == ((("s5", THIN),), (("s1", MENDED),))
    assert change.sentence == "1 finding gained, 1 finding lost"
    moved = compare(new, _state(size, 1e5, ("s1", (reworded, THIN))))
    assert (moved.gained, moved.lost) == ((("s1", THIN),), (("s5", THIN),))


def test_what_one_of_them_lacks_is_a_dash_and_no_change():
    size = (100.0, 80.0, 40.0)
    change = compare(
        _state(size, 1e5, ("s1", ())), _state(size, 1e5, ("s1", ()), features=(RIM,), turning=None)
    )
    gone = {each.name: each.written for each in change.figures if each.new is None}
    assert gone == {
        "thickness left under the seat of the bore": ("15.0 mm", "-", "-"),
        "wall round the bore": ("9.0 mm", "-", "-"),
        "safety against turning": ("1.50", "-", "-"),
    }
    assert change.sentence == "size, volume and findings as before"


@pytest.mark.parametrize("share", [0.04, -0.04])
def test_what_does_not_show_is_no_change(share):
    old, new = (_state((100.0 + more, 80.0, 40.0), 1e5, ("s1", ())) for more in (0.0, share))
    assert compare(old, new).sentence == "size, volume and findings as before"


def test_several_bores_are_numbered():
    state = _state((100.0, 80.0, 40.0), 1e5, ("s1", ()), features=(BORE, replace(BORE, wall=None)))
    assert [name for name in state.figures if "bore" in name] == [
        "thickness left under the seat of the bore 1",
        "wall round the bore 1",
        "thickness left under the seat of the bore 2",
    ]
