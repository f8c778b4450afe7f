"""What relieving a back would gain is what it does gain once it is cut."""

import pytest

from boring import CATALOGUE, bored, rock
from holdwright.hold.hold import Hold
from holdwright.joint.advice.relief_gain import ReliefGain, relief_gain
from holdwright.joint.card.joint_card import joint_cards
from holdwright.joint.conditions import conditions
from holdwright.joint.holding.joint_shape import joint_shape
from holdwright.operations.base import Run
from holdwright.operations.cut_screw_hole import CutScrewHole, CutScrewHoleParameters
from holdwright.operations.relieve_back import RelieveBack, RelieveBackParameters
from holdwright.operations.split_core import SplitCore, SplitCoreParameters
from shapes import block

RUN = Run(CATALOGUE)
USUAL = conditions(CATALOGUE)


def spin(hold: Hold) -> float:
    return joint_cards(joint_shape(hold), USUAL, CATALOGUE)[0].spin.value


@pytest.mark.parametrize("screws", [0, 1])
def test_it_tells_beforehand_what_the_step_gains(screws):
    hold = bored(rock()).hold
    for _ in range(screws):
        hold = CutScrewHole().apply(hold, CutScrewHoleParameters(), RUN).hold
    cut = RelieveBack().apply(hold, RelieveBackParameters(), RUN).hold
    for whole in (hold, SplitCore().apply(hold, SplitCoreParameters(), RUN).hold):
        gain = relief_gain(joint_shape(whole), USUAL, CATALOGUE)
        assert gain is not None
        assert gain.before == pytest.approx(spin(hold), rel=1e-6)
        assert gain.after == pytest.approx(spin(cut), rel=1e-4)
        assert gain.after > gain.before


def test_there_is_none_where_the_lands_leave_nothing():
    hold = bored(block(40.0, 40.0, 40.0), place="at").hold
    assert relief_gain(joint_shape(hold), USUAL, CATALOGUE) is not None
    narrow = bored(block(90.0, 22.0, 40.0), place="at", washer=None).hold
    assert relief_gain(joint_shape(narrow), USUAL, CATALOGUE) is None


def test_its_sentence():
    assert ReliefGain(0.1149, 0.276).sentence == "relieving the back: 0.11 to 0.28"
