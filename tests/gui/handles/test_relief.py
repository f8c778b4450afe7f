"""The pocket's outline, dragged with a real pointer."""

import numpy as np
import pytest

from holdwright.hold.feature import BackPocket


@pytest.fixture
def relief(pointer):
    """The handles of a pocket added to the stump, and its step."""
    pointer.document.edits.add_step("relieve_back")
    pointer.settled()
    handles = pointer.take("relieve_back", "back")
    return handles, handles.step_id


def _made(pointer, step_id) -> BackPocket:
    (made,) = [each for each in pointer.document.step(step_id).features if isinstance(each, BackPocket)]
    return made


def _land(pointer, step_id) -> float:
    return pointer.document.recipe.step(step_id).parameters.land


def test_the_land_follows_the_outline_and_is_made_so(pointer, edits, relief):
    handles, step_id = relief
    before, made, knob = edits(), _made(pointer, step_id), pointer.grip("knob")
    assert handles.state.width == made.land == 12.0
    inward = -np.array([*knob[:2], 0.0]) / np.hypot(*knob[:2])
    pointer.drag(pointer.pixel(knob), pointer.pixel(knob, 6.0 * inward))
    assert _land(pointer, step_id) == pytest.approx(18.0, abs=1.0)
    assert edits() == before + 1
    told = handles.state.pocket
    pointer.settled()
    narrower = _made(pointer, step_id)
    assert narrower.land == _land(pointer, step_id)
    assert np.ptp(np.concatenate(told), axis=0) == pytest.approx(
        np.ptp(np.concatenate(narrower.drawn), axis=0), abs=0.1
    )
    pointer.drag(pointer.pixel(pointer.grip("knob")), pointer.pixel(knob, -4.0 * inward))
    assert _land(pointer, step_id) == pytest.approx(8.0, abs=1.0)


def test_the_outline_is_taken_anywhere_and_never_beyond_the_edge(pointer, relief):
    _, step_id = relief
    outline = next(grip for grip in pointer.view.tool.handles.grips() if grip.name == "outline").points
    spot = outline[int(np.argmin(outline[:, 1]))]
    pointer.drag(pointer.pixel(spot), pointer.pixel(spot, (0.0, -30.0, 0.0)))
    assert _land(pointer, step_id) == 1.0
    pointer.settled()
    assert not pointer.document.failure


def test_the_figures_stand_beside_it(pointer, relief):
    _, step_id = relief
    knob = pointer.grip("knob")
    labels = pointer.view.overlay.labels
    assert labels[f"{step_id}/land"].text == "land 12.0 mm"
    pointer.drag(pointer.pixel(knob), pointer.pixel(knob * 0.9), let_go=False)
    assert "pocket " in labels[f"{step_id}/land"].text
    pointer.release(pointer.pixel(knob))
