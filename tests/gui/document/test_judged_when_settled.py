"""The joint of what is still being dragged is judged once it is let go."""

from quiet_runner import document, runner

__all__ = ["document", "runner"]


def bore(document):
    return next(step.id for step in document.recipe.steps if step.operation == "cut_bore")


def test_a_drag_is_judged_when_it_is_over(document, runner):
    for x in (1.0, 2.0, 3.0):
        document.edits.edit(bore(document), {"place": "at", "at": (x, 0.0)}, "bore drag")
        assert not runner.jobs[-1].work.requested.judged
    count = len(runner.jobs)
    document.edits.settle("another drag")
    assert len(runner.jobs) == count
    document.edits.settle("bore drag")
    assert len(runner.jobs) == count + 1
    assert runner.jobs[-1].work.requested.judged


def test_a_change_in_one_go_is_judged_at_once(document, runner):
    document.edits.edit(bore(document), {"under_seat": 14.0})
    assert runner.jobs[-1].work.requested.judged
