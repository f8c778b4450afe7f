"""What is computed of the finished hold stands as long as what is shown does."""

from holdwright.gui.document.check_work import CheckWork
from holdwright.pipeline.replaying.print_checks import PrintVerdict
from holdwright.pipeline.views.print_view import PrintView
from quiet_runner import document, runner, thin_wall

__all__ = ["document", "runner"]


def test_what_the_print_was_found_to_be_stands_while_work_is_stopped(document, runner):
    work = CheckWork(document)
    for step in document.recipe.steps:
        runner.give(document, step.id, sized=True)
    runner.finish()
    work._take(None, PrintView(PrintVerdict(problem=thin_wall()), {}), "", False)
    assert document.print_current
    document.edits.edit("s4", {"rim": 9.0})
    assert not document.print_current
    runner.finish(stopped=True)
    assert document.stopped
    assert document.print_findings == (thin_wall(),), "as before the change"
    assert not document.print_current
    document.replay()
    runner.give(document, "s4", failed="The rim is too high.")
    runner.finish()
    assert document.print_findings == (), "there is no hold to find it in"
