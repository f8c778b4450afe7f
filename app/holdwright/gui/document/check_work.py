"""What the checks of the print find in the finished hold, told by the document among its findings."""

from PySide6.QtCore import QObject

from holdwright.gui.document.document import Document
from holdwright.gui.document.hold_work import HoldWork
from holdwright.pipeline.views.display_results import ShownStep
from holdwright.pipeline.views.print_view import PrintRequest, PrintView, check_print


class CheckWork(HoldWork[PrintView]):
    """Keeps the checks of the hold as it is, without their maps."""

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(document, check_print, _request_of, PrintView, parent)

    def _show(self, view: PrintView | None, sentence: str, *, current: bool) -> None:
        found = view.verdict.findings if view is not None and view.verdict is not None else ()
        self.document.take_print(found, current=current)
        super()._show(view, sentence, current=current)


def _request_of(step: ShownStep) -> PrintRequest:
    return PrintRequest(step.id, step.key, {})
