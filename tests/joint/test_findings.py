"""What is said of a joint: findings, the verdict, advice and cautions."""

from dataclasses import replace

import pytest

import shapes
from holdwright.hold.feature import Bore
from holdwright.hold.finding_builder import finding_table
from holdwright.joint.advice.findings import joint_findings
from holdwright.joint.advice.holding_findings import HOLDS, verdict
from holdwright.joint.advice.on_the_wall import wall_practice
from holdwright.joint.card.joint_card import joint_cards
from holdwright.joint.cautions import BROKEN_BY_HAND, CAUTIONS, DUST, EDGES, cautions_for
from holdwright.joint.conditions import conditions
from holdwright.joint.holding.joint_shape import joint_shape
from joint.blocks import CATALOGUE, block, bored, cards, codes, judged


def test_without_a_usable_torque_wood_screws_hold():
    found = cards(block(), factor=3.0)
    assert found[0].window.range is None
    finding = judged(found)
    assert (finding.code, finding.severity) == ("holds_with_screws", "warning")
    assert finding.measured > finding.limit == 2
    assert f"{found[0].screws.value:g} wood screws" in finding.message


def test_findings_name_what_is_wrong():
    assert "seat_overloaded" in codes(cards(block(), torque=40.0))
    assert "seat_overloaded" in codes(cards(block(), bare=True))
    assert "bolt_overloaded" in codes(
        cards(block(), torque=60.0, screw=CATALOGUE.screw("M8 ISO 4762"), bare=True)
    )
    thin = bored(shapes.block(120.0, 100.0, 40.0), (0.0, 0.0), seat=20.5)
    assert "bolt_too_long" not in codes(cards(thin))
    assert "bolt_too_long" in codes(cards(thin, behind=0.0, bare=True))
    assert "edge_lifts" in codes(cards(block((45.0, 35.0))))
    tall = bored(shapes.block(120.0, 100.0, 400.0), (0.0, 0.0), seat=300.0)
    assert {"no_bolt_long_enough", "does_not_hold"} <= codes(cards(tall))
    wide = CATALOGUE.washer("M10 extra large washer ISO 7094")
    assert "washer_wider_than_pocket" in codes(cards(block(), washer=wide))
    small = bored(shapes.block(50.0, 50.0, 40.0), (0.0, 0.0))
    assert cards(small)[0].screws.value is None
    assert any(each.severity == "error" for each in joint_findings(cards(small)))


@pytest.mark.parametrize("factor", [0.1, 0.3, 1.0, 2.0, 5.0, 20.0])
@pytest.mark.parametrize("torque", [2.0, 12.0, 60.0])
def test_each_joint_has_one_verdict(factor: float, torque: float):
    found = joint_findings(cards(block(), torque=torque, factor=factor))
    assert sum(each.code in (*HOLDS, "does_not_hold") for each in found) == 1
    decides = verdict(found)
    assert decides is not None
    assert decides.severity == max(
        (each.severity for each in found), key=["note", "warning", "error"].index
    ) or (decides.code in HOLDS)
    assert all(each.where is not None for each in found)


def test_what_is_likely_decides_and_the_least_warns():
    (card,) = cards(block(), factor=0.2)
    for share, code in ((0.9, "holds_by_friction"), (1.1, "holds_with_screws")):
        found = joint_findings(cards(block(), factor=0.2 * share * card.spin.value))
        told = {each.code: each for each in found}
        assert code in told
        assert ("may_turn" in told) == (code == "holds_by_friction")
    assert "may_turn" not in codes(cards(block(), factor=0.2 * 0.98 * card.spin.range.low))


def test_that_it_may_rock_with_the_least_preload_is_a_note():
    (card,) = cards(block(), factor=0.2)
    safety = card.overturning
    for factor, rocks in ((0.98 * safety.range.low, False), (0.95 * safety.value, True)):
        found = {each.code: each for each in joint_findings(cards(block(), factor=0.2 * factor))}
        assert ("may_rock" in found) == rocks
    assert found["may_rock"].severity == "note"
    assert "may_rock" not in codes(cards(block(), factor=0.2 * 1.05 * safety.value))


def test_advice_is_not_given_where_it_is_false():
    sunk = next(row for row in CATALOGUE.screws if row.name == "M10 countersunk socket ISO 10642")
    for torque in (12.0, 25.0, 60.0):
        flat = joint_findings(cards(block(), torque=torque))
        assert not any("times as wide" in each.advice for each in flat)
        hold = bored(shapes.block(120.0, 100.0, 40.0), (0.0, 0.0))
        (bore,) = hold.find(Bore)
        coned = replace(bore, screw=sunk.name, washer=None, cone_angle=sunk.head.angle)
        (card,) = joint_cards(
            replace(joint_shape(hold), bores=(coned,)),
            replace(conditions(CATALOGUE), torque=torque),
            CATALOGUE,
        )
        assert not any("washer under the head" in each.advice for each in joint_findings((card,)))


PROMISES = ("for years", "stays put", "stay put", "will hold", "is safe", "guarantee", "bears for")


def test_no_sentence_promises():
    said = [text for row in finding_table().values() for text in (row.text, row.advice)]
    said += [*CAUTIONS, DUST, EDGES, *(text for _, text in wall_practice(cards(block())[0]))]
    assert not [text for text in said for promise in PROMISES if promise in text.lower()]


def test_what_to_do_on_the_wall_goes_by_the_card():
    (card,) = cards(block(), torque=11.0, mass=50.0, factor=2.0)
    steps = dict(wall_practice(card))
    assert "11 N m" in steps["Tighten"]
    assert f"never over {card.window.most:.3g} N m" in steps["Tighten"]
    assert "100 kg" in steps["Prove"]
    assert "65 degrees" in steps["Keep cool"]
    unknown = replace(card.conditions.material, heat_deflection=None, glass_transition=None)
    assert "Keep cool" not in dict(wall_practice(cards(block(), material=unknown)[0]))


def test_cautions_go_by_what_is_advised():
    assert cautions_for([], sanded=False) == CAUTIONS
    assert cautions_for(["hold_slips"], sanded=True) == (*CAUTIONS, DUST)
    assert cautions_for(["cut_leaves_sharp_edge"], sanded=False) == (*CAUTIONS, DUST, EDGES)
    assert {code.partition(":")[0] for code in finding_table()} >= BROKEN_BY_HAND
