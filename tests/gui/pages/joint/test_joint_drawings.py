"""Drawings of the joint: to scale, with what lifts, and without room."""

import numpy as np
import pytest
from PySide6.QtGui import QColor

from gui.pages.joint.answers import CATALOGUE, looked_over, measured
from holdwright.gui.pages.joint.base_drawing import BackView
from holdwright.gui.pages.joint.drawing_scale import HEIGHT, Plan
from holdwright.gui.widgets import style
from holdwright.joint.advice.json_values import plain_joint
from holdwright.joint.card.joint_card import joint_cards
from holdwright.joint.conditions import conditions


def test_the_drawing_lifts_where_the_card_does(qtbot, view):
    # Both are reckoned on a panel that gives, held by its T-nut.
    cards = joint_cards(view.shape, conditions(CATALOGUE), CATALOGUE)
    back = BackView()
    qtbot.addWidget(back)
    back.show_joint(view, cards, "mm")
    assert back.base._lifting.safety == pytest.approx(cards[0].lift.value)
    told = plain_joint(view.shape, cards)["contact"]["pressed_share"]
    assert told == pytest.approx(back.base._shape.contact.pressure.share, rel=1e-5)


def test_drawings_are_to_scale(qtbot, page, document, runner, view):
    measured(document, runner, view)
    qtbot.waitUntil(lambda: page.sections.drawings[0].height() == HEIGHT)
    wide, tall = inked(page.back.base)
    assert wide / tall == pytest.approx(120.0 / 100.0, rel=0.02)
    section = page.sections.drawings[0]
    assert "M10 socket cap ISO 4762 \N{MULTIPLICATION SIGN} 45" in section.accessibleDescription()
    wide, tall = inked(section, style.mixed(style.LIGHT.paper, style.LIGHT.shell, 0.5))
    assert wide / tall == pytest.approx(40.0 / 100.0, rel=0.05)


def test_a_plan_has_one_scale_and_up_is_up():
    from PySide6.QtCore import QRectF

    plan = Plan(np.array([[-10.0, -20.0], [30.0, 60.0]]), QRectF(0, 0, 300, 160))
    assert plan.scale == pytest.approx(2.0)
    assert plan.at(10.0, 20.0).toTuple() == pytest.approx((150.0, 80.0))
    assert plan.at(0.0, 60.0).y() == pytest.approx(0.0)


def test_drawings_without_room_are_painted_all_the_same(page, document, runner, view, places):
    other = looked_over(page)
    measured(document, runner, view)
    page.places.map.show_view(places)
    page.places.map.show()
    for drawing in (page.back.base, page.places.map, *page.sections.drawings):
        for size in ((1, 1), (16, 16), (300, 5)):
            drawing.resize(*size)
            assert not drawing.grab().isNull()
    other.close()


def inked(widget, colour=None):
    """Give width and height in pixels of what a widget draws, or of what is of one colour."""
    image = widget.grab().toImage()
    at = np.array([[image.pixel(x, y) for x in range(image.width())] for y in range(image.height())])
    drawn = at == QColor(colour).rgb() if colour else at != image.pixel(1, 1)
    rows, columns = np.flatnonzero(drawn.any(axis=1)), np.flatnonzero(drawn.any(axis=0))
    return np.ptp(columns) + 1, np.ptp(rows) + 1
