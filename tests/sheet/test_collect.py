"""What a sheet says: sizes, figures, findings, and what to do."""

from dataclasses import replace

import numpy as np
import pytest

import finished
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.hold.feature import BackPocket, ScrewHole
from holdwright.hold.finding import Finding
from holdwright.hold.hold import WHOLE
from holdwright.joint.advice.on_the_wall import wall_practice
from holdwright.joint.cautions import DUST
from holdwright.render.picture import View
from holdwright.sheet.collect import sheet_content
from holdwright.sheet.content import SheetTable, paired
from holdwright.sheet.drawing import MOST_TRIANGLES, HoldDrawing
from holdwright.sheet.fastening import bolt_table
from holdwright.sheet.view_places import ViewPlaces
from sheet.conftest import source_of, with_stock

TIMES = "\N{MULTIPLICATION SIGN}"


def rows(table):
    return {row[0]: row[1:] for row in table.rows}


def test_true_size_and_print_size_stand_apart_with_what_makes_the_difference():
    job = with_stock(finished.job(shrinkage=2.0), 1.5)
    content = sheet_content(source_of(job), load_catalogue())
    size = rows(content.size)
    x, y, z = finished.bored_boulder().size
    assert size["On the wall"] == (f"{x:.1f} {TIMES} {y:.1f} {TIMES} {z:.1f} mm",)
    x, y, z = np.array([x, y, z]) / 0.98
    assert size["As printed"] == (f"{x:.1f} {TIMES} {y:.1f} {TIMES} {z:.1f} mm",)
    assert size["Allowances"] == ("2 % shrinkage (factor 1.02041)",)
    assert size["Sanding stock"] == ("1.5 mm below the finished back",)
    assert f"flat within {job.recipe.print.flat_within:g} mm" in size["Back"][0]
    assert content.drawing.stock == 1.5
    assert "Take off the 1.5 mm of stock" in dict(content.work)["Sand the back"]


def test_figures_of_a_row_are_rounded_alike_and_with_their_range(plain_content):
    for name, *cells in plain_content.settings.rows[2:]:
        figures = [cell.replace("(", "").replace(")", "").split() for cell in cells]
        decimals = {len(word.partition(".")[2]) for cell in figures for word in cell if word[0].isdigit()}
        assert len(decimals) == 1, name
        for likely, unit, low, to, high, again in figures:
            assert (to, unit) == ("to", again)
            assert float(low) <= float(likely) <= float(high)


def test_both_is_what_the_parts_take_together(plain):
    mass = {name: each["mass_g"]["likely"] for name, each in plain.estimates.items()}
    assert mass["both"] == pytest.approx(mass["shell"] + mass["core"], rel=1e-3)


def test_like_findings_stand_once_and_none_is_lost():
    sharp = [
        Finding("toy_edge", "warning", f"An edge of {r} mm.", r, 1.0, "mm", advice="File it.")
        for r in (0.2, 0.5)
    ]
    others = Finding("toy_note", "note", "One."), Finding("toy_note", "note", "Two.")
    made = source_of(finished.job(findings=(*sharp, *others, others[0])))
    found = sheet_content(made, load_catalogue()).findings
    assert [each.text for each in found] == [
        "An edge of 0.2 mm. 1 more like it.",
        "One. 1 more like it.",
        "Two.",
    ]
    assert [each.severity for each in found] == ["warning", "note", "note"]


def test_errors_stand_in_the_head_and_before_the_hold_is_hung(crimp):
    grave = Finding("toy", "error", "It breaks.")
    *others, last = crimp.replay.results
    done = replace(crimp.replay, results=(*others, replace(last, findings=(grave,))))
    content = sheet_content(replace(crimp, replay=done), load_catalogue())
    assert "1 error among the findings" in content.facts
    titles = [title for title, _ in content.work]
    assert titles.index("Stop") == titles.index("Tighten") - 1


def test_the_work_is_in_order_and_no_caution_is_said_twice(crimp_content):
    titles = [title for title, _ in crimp_content.work]
    assert titles[:3] == ["Print", "Join", "Sand the back"]
    assert titles[3:6] == ["Tighten", "Prove", "Tighten again"]
    said = " ".join(text for _, text in crimp_content.work)
    assert DUST in said
    assert "burn" in said
    assert not [each for each in crimp_content.cautions if each in said]


@pytest.mark.parametrize(
    ("tabs", "brim", "words"),
    [(3, False, "3 corner tabs"), (0, True, "the brim"), (1, True, "the brim and 1 corner tab")],
)
def test_what_held_the_print_down_is_cut_off_first(plain, tabs, brim, words):
    content = sheet_content(replace(plain, tabs=tabs, brim=brim), load_catalogue())
    assert content.work[1][0] == "Cut free"
    assert f"Cut off {words} with" in content.work[1][1]


def test_a_fine_mesh_is_drawn_without_what_no_dot_shows():
    fine = finished.split(finished.bored_boulder(520))
    assert sum(solid.triangle_count for solid in fine.values()) > MOST_TRIANGLES
    drawing = HoldDrawing.of(finished.hold_of(fine))
    coarse = HoldDrawing.of(finished.hold_of(finished.split(finished.bored_boulder())))
    assert drawing.size == pytest.approx(
        np.ptp([each.bounds for each in fine.values()], axis=(0, 1)), rel=1e-9
    )
    places = ViewPlaces.of(drawing.size, 180.0, 150.0)
    one, other = (each._picture(View("front"), 0.0, 0.0, places.scale) for each in (drawing, coarse))
    assert one.width == pytest.approx(other.width, abs=0.3)
    assert (one.pixels < 250).mean() == pytest.approx((other.pixels < 250).mean(), abs=0.02)


def test_holes_have_their_places_from_the_edges_of_the_base(crimp, crimp_content):
    hold, drawing = crimp.replay.hold, crimp_content.drawing
    assert hold.find(BackPocket)
    (left, low), (right, high) = drawing.base
    below = next(iter(hold.solids.values()))
    assert right - left <= below.size[0] + 1e-9
    for mark, what, wide, across, up in crimp_content.holes.rows:
        place = next(each for each in drawing.holes if each.mark == mark)
        assert float(across) == pytest.approx(right - place.x, abs=0.051)
        assert float(up) == pytest.approx(place.y - low, abs=0.051)
        assert 0.0 < float(across) < right - left
        assert 0.0 < float(up) < high - low
        assert float(wide) == pytest.approx(place.diameter)
        assert what.startswith(place.screw)
    screws = [row for row in crimp_content.holes.rows if row[0].isdigit()]
    lengths = [each.length for each in crimp.replay.joint.cards[0].existing_screws]
    assert len(screws) == len(hold.find(ScrewHole)) == len(lengths)
    assert sorted(row[1].rsplit(", ", 1)[1] for row in screws) == sorted(
        f"{each:g} mm or longer" for each in lengths
    )


def test_torque_is_judged_as_the_joint_card_judges_it(crimp):
    (card,) = crimp.replay.joint.cards
    low, high = card.window.range

    def told(torque):
        changed = replace(card, conditions=replace(card.conditions, torque=torque))
        return rows(bolt_table([changed], None, ""))["Torque"][0], dict(wall_practice(changed))["Tighten"]

    usable = f"usable {low:.1f} to {high:.1f} N m"
    assert told((low + high) / 2)[0].endswith(f" N m; {usable}")
    assert told(low / 2)[0] == f"{low / 2:g} N m is too little; {usable}"
    torque, tighten = told(high + 20.0)
    assert torque == f"{high + 20.0:g} N m is too much; {usable}"
    # What would crush the seat is not what the order of work asks for.
    wanted = float(tighten.removeprefix("Tighten to ").split()[0])
    assert high - 0.1 <= wanted <= high


def test_bores_that_differ_get_a_column_each(crimp):
    (card,) = crimp.replay.joint.cards
    other = replace(card, bolt_name="another bolt")
    assert bolt_table([card, card], None, "").columns == ("bore A and B",)
    table = bolt_table([card, other, card], None, "")
    assert table.columns == ("bore A and C", "bore B")
    assert [row[0] for row in table.rows] == ["Bolt", "Washer", "T-nut", "Key", "Torque"]
    assert "another bolt" in rows(table)["Bolt"][1]


def test_without_a_joint_or_settings_a_sentence_stands_in_place_of_figures(plain, plain_content):
    assert not plain_content.hardware.rows
    assert plain_content.hardware.below
    wrong = plain.recipe.with_parameters("print", {"shell_material": "cheese"})
    content = sheet_content(replace(plain, recipe=wrong, estimates={}), load_catalogue())
    assert not content.settings.rows
    assert "cheese" in content.settings.below


def test_a_hold_of_one_part_has_its_print_in_half_the_width():
    content = sheet_content(
        source_of(finished.job(parts={WHOLE: finished.bored_boulder()})), load_catalogue()
    )
    assert content.settings.narrow
    assert content.tables[0] == (content.settings, content.size)


def test_narrow_tables_are_paired_wide_ones_are_alone_empty_ones_left_out():
    narrow, wide, empty = (
        SheetTable("n", (("a", "b"),)),
        SheetTable("w", (("a", "b", "c"),)),
        SheetTable("e", ()),
    )
    assert paired(narrow, narrow, wide, empty, narrow) == ((narrow, narrow), (wide,), (narrow,))
