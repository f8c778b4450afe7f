"""The print of a finished hold, checked after its replay and for the window."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from finished import bored_boulder, hold_of, split
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.checks import CHECKS
from holdwright.checks.printed_hold import PrintedHold
from holdwright.cli.main import main
from holdwright.errors import Cancelled
from holdwright.hold.hold import SHELL, WHOLE
from holdwright.operations.base import Outcome
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.replaying.cache import Cache
from holdwright.pipeline.replaying.print_checks import plain_checks, print_verdict
from holdwright.pipeline.views.print_view import PrintRequest, check_print
from holdwright.pipeline.views.work_context import WorkContext
from holdwright.printing.print_parameters import PrintParameters
from holdwright.progress import SILENT, Progress
from holdwright.resources import sample_folder

CATALOGUE = load_catalogue()
HOLD = hold_of(split(bored_boulder()))


def findings(hold=HOLD, **settings):
    verdict = print_verdict(hold, PrintParameters(**settings), CATALOGUE)
    assert verdict is not None
    return {finding.code: finding for finding in verdict.findings}


def test_every_check_has_a_row_with_figure_limit_and_verdict():
    verdict = print_verdict(HOLD, PrintParameters(), CATALOGUE)
    assert verdict is not None
    rows = plain_checks(verdict)
    assert [row["code"] for row in rows] == [check.code for check in CHECKS]
    assert json.loads(json.dumps(rows)) is not None
    for row, plain in zip(verdict.rows, rows, strict=True):
        assert (plain["verdict"] == "passed") == (not row.findings)
        assert plain["figure"] is not None or plain["words"]


@pytest.mark.parametrize(
    ("settings", "wanted"),
    [
        ({"shell_material": "brass"}, "the material 'brass'"),
        ({"machine": "a plotter"}, "the printer 'a plotter'"),
        ({"layer_height": 0.9}, "at most 0.8 mm"),
        ({"nozzle": 2.5, "line_width": 1.0}, "draws 2 to 5 mm"),
        ({"passes": 0, "shell_infill": 0.0}, "nothing of the shell prints"),
        ({"passes": 0, "core_infill": 0.0}, "nothing of the core prints"),
    ],
)
def test_settings_that_do_not_go_together_are_one_finding(settings, wanted):
    found = findings(**settings)
    assert list(found) == ["print_not_checked"]
    assert wanted.lower() in found["print_not_checked"].message.lower()


def test_a_printer_too_small_and_a_nozzle_wider_than_the_wall_are_told():
    small = findings(scale_of(2.6), machine="220 mm printer, open")["beyond_printer"]
    assert small.severity == "error"
    assert "220 x 220 x 250 mm" in small.message
    assert findings(nozzle=2.0, line_width=2.0)["thin_wall"].limit == 4.0


def scale_of(factor):
    return HOLD.moved(np.diag([factor, factor, factor, 1.0]))


def test_without_a_solid_there_is_nothing_to_check():
    assert print_verdict(hold_of({}), PrintParameters(), CATALOGUE) is None
    assert print_verdict(hold_of(HOLD.solids, sized=False), PrintParameters(), CATALOGUE) is None


def test_it_can_be_stopped():
    with pytest.raises(Cancelled):
        print_verdict(HOLD, PrintParameters(), CATALOGUE, None, Progress(None, lambda: True))


def test_only_what_a_changed_setting_touches_is_checked_anew(monkeypatch: pytest.MonkeyPatch):
    memory, looked = Cache().of_operations, []
    for check in CHECKS:
        look = check.look
        counted = lambda *given, look=look, code=check.code: (looked.append(code), look(*given))[1]  # noqa: E731
        monkeypatch.setitem(vars(check), "look", counted)
    print_verdict(HOLD, PrintParameters(), CATALOGUE, memory)
    assert looked == [check.code for check in CHECKS]
    looked.clear()
    print_verdict(HOLD, PrintParameters(), CATALOGUE, memory)
    assert looked == []
    print_verdict(HOLD, PrintParameters(widest_bridge=5.0), CATALOGUE, memory)
    assert looked == ["wide_bridge"]
    looked.clear()
    print_verdict(scale_of(1.1), PrintParameters(widest_bridge=5.0), CATALOGUE, memory)
    assert looked == [check.code for check in CHECKS]


def test_a_whole_hold_depends_on_the_shell_s_row():
    whole, uses = hold_of({WHOLE: HOLD.solids[SHELL]}), ("shell_material",)
    rows = [replace(row, density=2.0) if row.name == "PETG" else row for row in CATALOGUE.materials]
    of = PrintedHold.of(whole, PrintParameters(), CATALOGUE)
    heavier = PrintedHold.of(whole, PrintParameters(), replace(CATALOGUE, materials=tuple(rows)))
    assert of.values(uses) != heavier.values(uses)


def test_the_window_gets_findings_and_maps_at_the_vertices_it_draws():
    cache = Cache()
    cache.put("key", Outcome(HOLD))
    places = {name: solid.vertices.astype(np.float32) for name, solid in HOLD.solids.items()}
    context = WorkContext(Recipe(), Path(), None, CATALOGUE, cache, SILENT, lambda _: None)
    view = check_print(context, PrintRequest("s9", "key", places))
    assert view.verdict is not None
    assert {finding.code for finding in view.verdict.findings} == set(findings())
    assert {"thin_wall", "overhang", "core_near_grip"} <= set(view.fields)
    for field in (field for parts in view.fields.values() for field in parts.values()):
        assert np.isfinite(field.values).all()
        assert field.low <= field.values.min() <= field.values.max() <= field.high
    wall = view.fields["thin_wall"]["core"]
    assert wall.values.min() < 2.0 == wall.high / 3.0


def test_check_tells_them_with_the_other_findings(capsys: pytest.CaptureFixture[str]):
    sculpt = str(sample_folder() / "hall-crimp.obj")
    small = ["--set", "print.machine=220 mm printer, open", "--set", "s3.diameter=320"]
    assert main(["check", "starter", sculpt, "--json", "--strict", *small]) == 5
    told = json.loads(capsys.readouterr().out)
    assert "beyond_printer" in [each["code"] for each in told["findings"] if each["step"] == "print"]
    assert [each["code"] for each in told["checks"]] == [check.code for check in CHECKS]
