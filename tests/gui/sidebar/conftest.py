"""Fixtures of the route card's tests."""

import pytest

from quiet_runner import document, runner

__all__ = ["document", "runner"]


@pytest.fixture
def shown(qtbot):
    """Shows a widget in a window of its own, with the keyboard on it."""

    def show(widget, width=340, height=760):
        qtbot.addWidget(widget)
        widget.resize(width, height)
        with qtbot.waitExposed(widget):
            widget.show()
        widget.activateWindow()
        qtbot.waitUntil(widget.isActiveWindow)
        return widget

    return show


@pytest.fixture
def sidebar(document, settings, shown):
    """The sidebar of that document."""
    from holdwright.catalogue.catalogue import load_catalogue
    from holdwright.gui.document.check_work import CheckWork
    from holdwright.gui.document.print_work import PrintWork
    from holdwright.gui.document.strength_work import StrengthWork
    from holdwright.gui.sidebar.sidebar import Sidebar

    works = PrintWork(document, document), CheckWork(document, document), StrengthWork(document, document)
    return shown(Sidebar(document, load_catalogue(), *works))
