"""What the hold is printed with: the recipe's own section as a form."""

from PySide6.QtWidgets import QWidget

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import HoldwrightError
from holdwright.gui.document.document import Document
from holdwright.gui.document.print_work import PrintWork
from holdwright.gui.form.form import Form
from holdwright.gui.pages.print.print_page import EstimatedPage
from holdwright.gui.widgets.layout import TextLabel
from holdwright.gui.widgets.number_format import Preferred, in_unit
from holdwright.hold.hold import CORE, SHELL
from holdwright.printing.part_estimates import all_settings
from holdwright.printing.print_parameters import PrintParameters


class SettingsPage(EstimatedPage):
    """The form, and above it what does not go together.

    Attributes
    ----------
    form
        Made when the page is first shown.
    problem
        What does not go together; hidden where all does.
    """

    def __init__(
        self, document: Document, catalogue: Catalogue, work: PrintWork, parent: QWidget | None = None
    ) -> None:
        super().__init__("Settings", document, work, ("checks", "Checks"), parent)
        self._catalogue = catalogue
        self.form: Form | None = None
        self.problem = TextLabel("", self, wrap=True, tint="error")
        self.problem.hide()
        self.column.addWidget(self.problem)
        self.column.addStretch(1)

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        if self.form is not None:
            self.form.close_down()
            self.column.removeWidget(self.form)
            self.form.deleteLater()
            self.form = None
        super().set_unit(unit)

    def show_work(self) -> None:
        """Show the settings of the recipe."""
        if self.form is None:
            self.form = Form(
                self.document,
                PrintParameters.name,
                self._catalogue,
                self.unit,
                parent=self.problem.parentWidget(),
            )
            self.column.insertWidget(1, self.form)
        problem = ""
        try:
            all_settings((SHELL, CORE), self.document.recipe.print, self._catalogue)
        except HoldwrightError as error:
            problem = in_unit(str(error), self.unit)
        self.problem.show_words(problem)
        if problem:  # said already, and nearer to what is to be changed
            self.sentence.hide()
