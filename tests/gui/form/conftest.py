"""Fixtures of the forms' tests."""

import pytest

from quiet_runner import document, runner

__all__ = ["document", "runner"]

STEPS = {
    "import": "s1",
    "orient": "s2",
    "scale": "s3",
    "trim": "s4",
    "tips": "s5",
    "bore": "s6",
    "split": "s7",
}


@pytest.fixture
def open_form(qtbot, document):
    """Opens the form of a step in a window of its own."""
    from holdwright.catalogue.catalogue import load_catalogue
    from holdwright.gui.form.form import Form

    def opened(name: str, unit: str = "mm", **options):
        form = Form(document, STEPS[name], load_catalogue(), unit, **options)
        qtbot.addWidget(form)
        with qtbot.waitExposed(form):
            form.show()
        form.activateWindow()
        qtbot.waitUntil(form.isActiveWindow)
        return form

    return opened
