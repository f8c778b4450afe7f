"""Fixtures of the route card's tests."""

import pytest

from quiet_runner import document, runner

__all__ = ["document", "runner"]


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
