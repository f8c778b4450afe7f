"""What the joint is judged for: the recipe's own section as a form, and another bolt or washer to try."""

from PySide6.QtWidgets import QWidget

from holdwright.catalogue.catalogue import Catalogue
from holdwright.gui.document.document import Document
from holdwright.gui.form.form import Form
from holdwright.gui.pages.joint.hardware_choice import HardwareChoice
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import QuietButton
from holdwright.gui.widgets.fold import Fold
from holdwright.gui.widgets.layout import column, row
from holdwright.gui.widgets.number_format import Preferred, typeset
from holdwright.joint.joint_parameters import JointParameters
from holdwright.operations.cut_bore import CutBore


class JudgedFor(Fold):
    """Folded, its line says the most of it.

    Attributes
    ----------
    hardware
        What is tried.
    put_button
        Bores the hold for it.
    form
        Of the recipe's section; made when it is first shown.
    """

    def __init__(self, document: Document, catalogue: Catalogue, parent: QWidget | None = None) -> None:
        content = QWidget()
        super().__init__("", content, parent)
        self._document, self._catalogue = document, catalogue
        self.form: Form | None = None
        self.hardware = HardwareChoice(catalogue, content)
        tip = "Bore the hold for this screw and washer"
        self.put_button = QuietButton("Put into the recipe", content, tip=tip, clicked=self._put)
        self.put_button.setEnabled(False)
        self._column = column(self.hardware, row(None, self.put_button), on=content, gap=style.GRID)

    def refresh(self, unit: Preferred) -> None:
        """Show what the recipe holds."""
        joint = self._document.recipe.joint
        lean = f", leaning {joint.overhang:g} deg" if joint.overhang else ""
        words = f"{joint.torque:g} N m, {joint.material}, {joint.factor:g} x {joint.mass:g} kg{lean}"
        self.set_words(typeset(f"Judged for {words}"))
        self.put_button.setEnabled(self.hardware.is_tried)
        if self.form is None:
            name, parent = JointParameters.name, self.content
            self.form = Form(self._document, name, self._catalogue, unit, parent=parent)
            self._column.insertWidget(0, self.form)

    def drop_form(self) -> None:
        """Have the form made anew, as for another unit."""
        if self.form is not None:
            self.form.close_down()
            self._column.removeWidget(self.form)
            self.form.deleteLater()
            self.form = None

    def _put(self) -> None:
        """Write screw and washer into every step that bores."""
        if self.hardware.hardware is None:
            return
        screw, washer = self.hardware.hardware
        changes = {"screw": screw.name, "washer": washer.name if washer else None}
        for step in self._document.recipe.steps:
            if step.enabled and step.operation == CutBore.name:
                self._document.edits.edit(step.id, changes)
