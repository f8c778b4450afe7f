"""The pages of the print by the names of the sidebar's rows."""

from holdwright.catalogue.catalogue import Catalogue
from holdwright.gui.document.document import Document
from holdwright.gui.document.print_work import PrintWork
from holdwright.gui.pages.print.checks_page import ChecksPage
from holdwright.gui.pages.print.estimate_page import EstimatePage
from holdwright.gui.pages.print.layers_page import LayersPage
from holdwright.gui.pages.print.print_page import PrintPage
from holdwright.gui.pages.print.settings_page import SettingsPage


def print_pages(
    document: Document, catalogue: Catalogue, work: PrintWork, checks: ChecksPage
) -> dict[str, PrintPage]:
    """Make the pages round that of the checks."""
    return {
        "settings": SettingsPage(document, catalogue, work),
        "checks": checks,
        "layers": LayersPage(document, work),
        "estimate": EstimatePage(document, work),
    }
