"""The sentence of what makes a hold hold, against the cards once it is so."""

import re
from dataclasses import replace

import pytest

from boring import CATALOGUE, bored, rock
from holdwright.hold.feature import Bore
from holdwright.hold.hold import Hold
from holdwright.joint.advice.ways_to_hold import ways_to_hold
from holdwright.joint.card.joint_card import joint_cards
from holdwright.joint.conditions import conditions
from holdwright.joint.holding.joint_shape import joint_shape
from holdwright.operations.base import Run
from holdwright.operations.relieve_back import RelieveBack, RelieveBackParameters

USUAL = conditions(CATALOGUE)


def spin(hold: Hold) -> float:
    return joint_cards(joint_shape(hold), USUAL, CATALOGUE)[0].spin.value


def without_bore(hold: Hold) -> Hold:
    """The same hold, not known to be bored."""
    return Hold().with_whole(hold.whole, *(each for each in hold.features if not isinstance(each, Bore)))


def test_each_way_is_told_with_what_it_gives():
    hold = bored(rock()).hold
    said = ways_to_hold(without_bore(hold), hold.find(Bore)[0], USUAL, CATALOGUE)
    assert f"a safety of {spin(hold):.2f} of at least 1; " in said
    relieved = RelieveBack().apply(hold, RelieveBackParameters(), Run(CATALOGUE)).hold
    assert float(re.search(r"with a relieved back (\d+\.\d+)", said)[1]) == pytest.approx(
        spin(relieved), abs=0.006
    )
    assert float(re.search(r"with \d wood screws? (\d+\.\d+)", said)[1]) >= 1.0


def test_nothing_is_said_where_friction_holds():
    hold = bored(rock()).hold
    feather = replace(USUAL, mass=0.1)
    assert ways_to_hold(without_bore(hold), hold.find(Bore)[0], feather, CATALOGUE) == ""
