"""Letters in the back, dragged with a real pointer."""

import pytest

from holdwright.hold.feature import Engraving


def test_letters_follow_the_pointer_and_are_cut_there(pointer, edits):
    pointer.document.edits.add_step("engrave_back")
    pointer.settled()
    handles = pointer.take("engrave_back", "back")
    step_id, before = handles.step_id, edits()
    x, y = handles.state.x, handles.state.y
    knob = pointer.grip("knob")
    pointer.drag(pointer.pixel(knob), pointer.pixel(knob, (0.0, 6.0, 0.0)))
    asked = pointer.document.recipe.step(step_id).parameters
    assert asked.place == "at"
    assert asked.at == pytest.approx((x, y + 6.0), abs=1.0)
    assert edits() == before + 1
    pointer.settled()
    features = pointer.document.step(step_id).features
    (cut,) = [each for each in features if isinstance(each, Engraving)]
    assert (cut.x, cut.y) == asked.at
