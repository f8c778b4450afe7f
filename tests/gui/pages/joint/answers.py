"""What the geometry process answers to a joint card, given by hand."""

from holdwright.catalogue.catalogue import load_catalogue
from quiet_runner import QuietRunner

CATALOGUE = load_catalogue()
SCREW, WASHER = "M10 socket cap ISO 4762", "M10 large washer ISO 7093"


def finish_steps(document, runner, **last):
    """Answer the latest job with all steps done."""
    steps, job = document.recipe.steps, len(runner.jobs)
    for step in steps:
        runner.give(document, step.id, **(last if step == steps[-1] else {}))
    runner.ended.emit(job, None, "", False)
    runner.working = False
    runner.busy_changed.emit(False)


def tasks(runner):
    return [job for job in runner.jobs if not job.work.latest_only]


def answer(runner, what, failed=""):
    number = tasks(runner)[-1].number
    runner.ended.emit(number, what, failed, False)


def measured(document, runner, view):
    finish_steps(document, runner)
    answer(runner, view)


def bore_step(document):
    return next(step for step in document.recipe.steps if step.operation == "cut_bore")


def line(page, name):
    return next(each.line for each in (*page.first.lines, *page.figures.lines) if each.line.name == name)


def looked_over(page):
    """Give the page a process of its own to look the back over with, and the errand that it sends there."""
    other = QuietRunner()
    page.places.task.use(other)
    page.refresh()
    return other
