"""The pages of the print by the names of the sidebar's rows."""

from holdwright.catalogue.catalogue import Catalogue
from holdwright.gui.document.document import Document
from holdwright.gui.document.print_work import PrintWork
from holdwright.gui.pages.print.checks_page import ChecksPage
from holdwright.gui.pages.print.estimate_page import EstimatePage
from holdwright.gui.pages.print.layers_page import LayersPage
from holdwright.gui.pages.print.print_page import PrintPage
from holdwright.gui.pages.print.settings_page import SettingsPage
from holdwright.gui.pages.print.strength_page import StrengthPage


def print_pages(
    document: Document, catalogue: Catalogue, work: PrintWork, checks: ChecksPage, strength: StrengthPage
) -> dict[str, PrintPage]:
    """Make the pages round those of checks and strength."""
    return {
        "settings": SettingsPage(document, catalogue, work),
        "checks": checks,
        "strength": strength,
        "layers": LayersPage(document, work),
        "estimate": EstimatePage(document, work),
    }
