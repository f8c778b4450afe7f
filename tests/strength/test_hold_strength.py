import numpy as np
import pytest

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import Cancelled, GeometryError, ParameterError
from holdwright.printing.print_parameters import PrintParameters
from holdwright.progress import SILENT, Progress
from holdwright.strength import cell_choice, strength_changes
from holdwright.strength.breaking_findings import breaking_findings
from holdwright.strength.hold_model import solve_hold
from holdwright.strength.hold_strength import hold_strength
from holdwright.strength.load_cases import patch_loads
from holdwright.strength.plain_strength import plain_strength
from holdwright.strength.printed_parts import printed_parts
from holdwright.strength.strength_changes import found_in
from strength.lipped import HIGH, LONG, lipped_hold

CELL = 3.0
SOLID = PrintParameters(shell_infill=100.0)


@pytest.fixture(scope="module")
def solid():
    """The lipped block, solid PETG."""
    return hold_strength(lipped_hold(), SOLID, load_catalogue(), CELL, None, SILENT)


@pytest.fixture(scope="module")
def changed():
    """A shorter one, with what changes would do, on coarser cells."""
    return hold_strength(lipped_hold(60.0), SOLID, load_catalogue(), 4.5, (), SILENT)


def change(result, kind, name):
    return next(each for each in result.changes if each.kind == kind and each.name.startswith(name))


def test_a_lip_breaks_at_its_root_where_beam_theory_says(solid):
    """Cantilever, M y / I (handbook formula), summed up over the bar to what its hottest 200 mm3 exceed.

    It bends along its layers, so that PETG's 48 MPa decide.
    """
    worst = solid.worst
    assert abs(worst.direction[1]) == pytest.approx(1.0, abs=1e-3)
    x, y, _ = worst.place
    assert 28.0 < x < 42.0
    assert 6.0 < abs(y) < 12.0
    assert not worst.between_layers
    along, up = (np.arange(400) + 0.5) / 400.0 * LONG, (np.arange(200) + 0.5) / 200.0 * HIGH / 2.0
    lever = LONG - 10.4  # the patch of 30 mm ends with the bar
    stress = np.outer(np.maximum(lever - along, 0.0), up).ravel() * 12.0 / HIGH**4
    share = HIGH * LONG * HIGH / stress.size
    per_newton = np.sort(stress)[::-1][int(200.0 / share)]
    assert worst.breaks_at.likely == pytest.approx(48.0 / per_newton, rel=0.08)
    assert solid.second_load == pytest.approx(48.0 * HIGH**3 / 6.0 / (LONG - 6.0), rel=0.12)
    assert worst.region == "whole"
    # Both ends of the tables: 40 to 56 MPa, and the errors of grid and law.
    assert worst.breaks_at.low < worst.breaks_at.likely * 40.0 / 48.0
    assert worst.told.high >= 2.0 * worst.told.likely


def test_it_bends_as_a_beam_does(solid):
    """F L^3 / (3 E I) (handbook formula) plus what block, bolt and wall give."""
    beam = 500.0 * (LONG - 9.0) ** 3 / (3.0 * 1950.0 * HIGH**4 / 12.0)
    assert beam < solid.worst.deflection < 3.0 * beam


def test_changes_that_need_no_solution_follow_the_tables(changed):
    assert change(changed, "material", "PETG").today
    assert change(changed, "material", "PLA").load == pytest.approx(55.0 / 48.0, rel=0.01)
    across = change(changed, "print direction", "on its side")
    # Layers square to the bar: bending parts them, 31 in place of 48 MPa, and shear adds a little.
    assert 0.9 * 31.0 / 48.0 < across.load < 31.0 / 48.0
    assert not across.solved


@pytest.mark.parametrize("core", ["PETG", "PLA"])
def test_another_material_bends_and_bears_as_solved_anew(core, monkeypatch):
    """Also where shell and core differ today: then one solution tells of all materials throughout."""
    monkeypatch.setattr(strength_changes, "INFILLS", ())
    monkeypatch.setattr(strength_changes, "PASSES", ())
    loaded, catalogue, cell = lipped_hold(60.0, core=True), load_catalogue(), 6.0
    today = SOLID.model_copy(update={"core_material": core})
    found = hold_strength(loaded, today, catalogue, cell, (), SILENT)
    pla = SOLID.model_copy(update={"shell_material": "PLA", "core_material": "PLA"})
    forces = [(np.array(each.direction) * each.force, np.array(each.loaded_at)) for each in found.cases]
    parts = printed_parts(loaded.parts, pla, catalogue)
    solved = solve_hold(loaded, parts, patch_loads(loaded.grip, forces), cell, SILENT)
    other = found_in(solved, parts, "z")
    told = change(found, "material", "PLA")
    bent = max(each.deflection for each in found.cases)
    assert told.load == pytest.approx(other.load * 500.0 / found.worst.breaks_at.likely, rel=0.01)
    assert told.deflection == pytest.approx(other.deflection / bent, rel=0.02)


def test_less_infill_and_more_skin_change_what_it_bears(changed):
    infills = [change(changed, "infill", f"{share} %").load for share in (20, 30, 50)]
    assert infills == sorted(infills)
    assert infills[-1] < change(changed, "infill", "100 %").load == 1.0
    skins = {each.name: each.load for each in changed.changes if each.kind == "skin"}
    assert set(skins.values()) == {1.0}, "what is solid has no skin"


def test_figures_are_plain_values_and_findings_never_say_that_it_holds(solid):
    plain = plain_strength(solid)
    assert plain["cell_mm"] == CELL
    assert plain["breaks_at_n"]["likely"] == pytest.approx(solid.worst.breaks_at.likely, rel=1e-3)
    assert "not a test to any standard" in plain["limits"].casefold()
    told = " ".join(each.message for each in breaking_findings(solid))
    assert "safe" not in f"{plain} {told}".casefold()


@pytest.mark.parametrize(
    ("apart", "cell", "wanted"), [(0.5, 2.0, "falls into pieces"), (0.0, 20.0, "only 48 mm thick")]
)
def test_what_cannot_be_computed_is_refused_in_a_sentence(apart, cell, wanted):
    with pytest.raises(GeometryError, match=wanted):
        hold_strength(lipped_hold(40.0, apart=apart), SOLID, load_catalogue(), cell, None, SILENT)


def test_too_little_memory_is_told_beforehand(monkeypatch):
    monkeypatch.setattr(cell_choice, "memory_limit", lambda: 10_000_000)
    with pytest.raises(GeometryError, match="coarser cells"):
        hold_strength(lipped_hold(40.0), SOLID, load_catalogue(), CELL, None, SILENT)


def test_settings_outside_the_laws_are_refused():
    with pytest.raises(ParameterError, match="the law holds from"):
        hold_strength(
            lipped_hold(40.0), PrintParameters(shell_infill=5.0), load_catalogue(), CELL, None, SILENT
        )


def test_it_can_be_cancelled_at_every_report():
    seen: list[float] = []
    watched = Progress(lambda fraction, _text: seen.append(fraction))
    hold_strength(lipped_hold(40.0), SOLID, load_catalogue(), 6.0, None, watched)
    assert seen == sorted(seen)
    assert len(seen) > 10
    asked = iter([False] * (len(seen) // 2) + [True])
    with pytest.raises(Cancelled):
        hold_strength(
            lipped_hold(40.0), SOLID, load_catalogue(), 6.0, None, Progress(None, lambda: next(asked))
        )
