"""The joint of a plain block, its best places, and a joint card."""

import pytest

import shapes
from gui.pages.joint.answers import CATALOGUE, SCREW, WASHER
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.gui.pages.joint_page import JointPage
from holdwright.hold.feature import Bore, Rim
from holdwright.hold.hold import Hold
from holdwright.joint.conditions import conditions
from holdwright.operations.cut_bore import CutBoreParameters
from holdwright.pipeline.views.joint_view import joint_view
from holdwright.pipeline.views.place_view import places_of
from quiet_runner import document, runner

__all__ = ["document", "runner"]


@pytest.fixture(scope="session")
def view():
    """The joint of a plain block, 120 by 100 by 40 mm."""
    solid = cut_hole(shapes.block(120.0, 100.0, 40.0), Hole(0.0, 0.0, 25.0, 11.0, 31.0, 30.0)).solid
    bore = Bore(0.0, 0.0, (0.0, 0.0, 1.0), 11.0, 31.0, 25.0, 25.0, SCREW, WASHER)
    return joint_view(Hold().with_whole(solid, Rim(2.0, 0.0, 0.0, 1.0, 1, 1), bore))


@pytest.fixture(scope="session")
def places():
    """Best places of the same block, and its bore as it is."""
    hold = Hold().with_whole(shapes.block(120.0, 100.0, 40.0), Rim(2.0, 0.0, 0.0, 1.0, 1, 1))
    parameters = CutBoreParameters(screw=SCREW, washer=WASHER)
    return places_of(hold, parameters, conditions(CATALOGUE), CATALOGUE, (20.0, 10.0))


@pytest.fixture
def page(qtbot, document):
    """The card of a document, shown."""
    made = JointPage(document, CATALOGUE)
    qtbot.addWidget(made)
    made.resize(340, 1500)
    with qtbot.waitExposed(made):
        made.show()
    return made
