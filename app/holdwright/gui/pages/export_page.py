"""The page from which the finished parts are written into files."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Final

from PySide6.QtCore import QSettings, QTimer, Signal
from PySide6.QtGui import QFocusEvent, QGuiApplication, QShowEvent
from PySide6.QtWidgets import QWidget

from holdwright.export.job import Exported, ExportRequest, write_files
from holdwright.gui.document import questions
from holdwright.gui.document.document import Document
from holdwright.gui.document.export_choice import (
    FORMAT_WORDS,
    Choice,
    ExportSettings,
    allowances_sentence,
    findings_sentence,
    further_cautions,
    hold_name,
    older_sentence,
    parts_of,
    unfinished_step,
)
from holdwright.gui.form.field_frame import PlainLine
from holdwright.gui.pages.export.export_fields import OptionFields
from holdwright.gui.pages.export.export_footer import ExportFooter, State
from holdwright.gui.pages.export.file_list import FileList
from holdwright.gui.pages.export.part_choice import PartChoice
from holdwright.gui.pages.export.sheet_preview import SheetPreview
from holdwright.gui.pages.page import Page, caution_fold
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import CheckBox, QuietButton
from holdwright.gui.widgets.layout import row
from holdwright.gui.widgets.number_format import counted
from holdwright.gui.widgets.painting import Rule
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.printable import printable

NO_SCULPT: Final = "There is no sculpt to make files of; drop one on the view first."
UNFINISHED: Final = "Nothing can be written before the recipe is done."
CHANGED: Final = "The hold was changed meanwhile: these files are as before the change."


class ExportPanel(Page):
    """Parts, formats and folder are chosen above; the files are listed as they will be written.

    Parameters
    ----------
    settings
        Where folder and formats are remembered.

    Attributes
    ----------
    state
        Where it is: choosing, asking whether to replace, writing, or written.

    Signals
    -------
    written
        Files were written: `export.job.Exported`.
    """

    written = Signal(object)

    def __init__(self, document: Document, settings: QSettings, parent: QWidget | None = None) -> None:
        super().__init__("Export", parent)
        self._document = document
        self._remembered = ExportSettings(settings)
        self.state: State = "choosing"
        self._number = 0
        self._written_for, self._sent = "", document.recipe
        self._written_of = self._made_from(document.recipe)
        self._unfinished = ""
        self._left = self._unseen = False
        self._written: Exported | None = None
        self._sheet: SheetPreview | None = None
        self.format_boxes: dict[str, CheckBox] = {}
        self._parts = PartChoice(self)
        self.folder_line = PlainLine()
        self.choose_button = QuietButton("Choose", tip="Choose the folder", clicked=self._ask_folder)
        self._lay_out()
        self._connect()
        self.refresh()

    @property
    def part_boxes(self) -> Mapping[str, CheckBox]:
        """A box for each part, by its name."""
        return self._parts.boxes

    @property
    def choice(self) -> Choice:
        """What is chosen now."""
        return Choice(
            hold_name(self._document),
            self._parts.chosen,
            tuple(name for name, box in self.format_boxes.items() if box.isChecked()),
            self.folder_line.text(),
            tuple(path for path in (self._document.sculpt_path, self._document.path) if path is not None),
            self.option_fields.options,
        )

    def refresh(self) -> None:
        """Show the document and the choice as they are."""
        self._parts.show_parts(parts_of(self._document))
        self.option_fields.set_strength(computed=self._document.strength_current)
        choice = self.choice
        written = self._written if self.state == "written" else None
        self._unfinished, reason = unfinished_step(self._document)
        files = [(path.name, size) for path, size in written.files] if written else []
        self.files.show_files(tuple(files or ((name, None) for name in choice.names)))
        self._files_heading.setText("Written" if written else "Files")
        self._older.show_words(older_sentence(written))
        self._changed.show_words(CHANGED if written and self._is_changed else "")
        self._unit.setText(allowances_sentence(self._document))
        self._standing.show_words(findings_sentence(self._document, written=bool(written)))
        self._further.show_words(further_cautions(self._document))
        self.step_button.setVisible(bool(reason))
        missing = UNFINISHED if reason else choice.missing
        self.folder_line.setReadOnly(self.state == "writing")
        self.choose_button.setEnabled(self.state != "writing")
        self.export_foot.show_state(self.state, missing, len(choice.existing))

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802
        """Begin anew, unless files are being written."""
        super().showEvent(event)
        if not self.folder_line.text().strip():
            self.folder_line.setText(self._remembered.folder(self._document.sculpt_path))
        if not self._unseen:
            self._back_to_choosing()
        self._unseen = False
        self.refresh()

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Hand the keyboard to what is likely wanted: Write files."""
        super().focusInEvent(event)
        self.export_foot.take_keyboard()

    # Commands of the foot

    def _write(self) -> None:
        """Write the files, or ask first where some exist."""
        choice = self.choice
        if choice.missing or self._unfinished or self.state == "writing":
            return
        if choice.existing:
            self._set_state("asking")
        else:
            self._send()

    def _request(self) -> ExportRequest:
        choice, document, path = self.choice, self._document, self._document.path
        strength = document.strength if document.strength_current and choice.options.strength else None
        recipe_name = path.stem if path else choice.name
        return ExportRequest(
            choice.name,
            recipe_name,
            choice.path,
            choice.formats,
            choice.parts,
            path,
            choice.options,
            strength,
        )

    def _preview(self) -> None:
        """Show the work sheet as it would be written, whether it is chosen or not."""
        if self._sheet is None:
            self._sheet = SheetPreview(self._document, self.window())
            self._sheet.closed.connect(self.option_fields.sheet_fields.preview_button.setFocus)
        request = self._request()
        options = replace(request.options, sheet=self.option_fields.sheet_fields.wanted)
        self._sheet.open(replace(request, options=options))

    def _send(self) -> None:
        choice, document, request = self.choice, self._document, self._request()
        # Before the files: they are of what card and view show, also after a stop or a change of the sculpt.
        document.look_at_sculpt()
        document.replay()
        self._number = document.supervisor.send(write_files, request, document.recipe)
        if not self._number:
            self.export_foot.failure.show_words(NO_SCULPT)
        else:
            self._written_for, self._sent, self._left = choice.name, document.recipe, False
            self._remembered.keep(choice, document.sculpt_path)
            self.export_foot.failure.show_words("")
            self._set_state("writing")

    def _show_step(self) -> None:
        """Open the step without which nothing can be written."""
        self._document.edits.select(self._unfinished)
        self.closed.emit()

    def _show_files(self) -> None:
        if self._written is not None:
            questions.show_folder(self._folder)
            self.export_foot.show_place(printable(self._folder))

    @property
    def _folder(self) -> Path:
        """Where the files last written are."""
        return self._written.files[0][0].parent.absolute() if self._written else Path()

    def _made_from(self, recipe: Recipe) -> tuple[Recipe, str]:
        """Give what files are made from: a recipe, and the sculpt as it was read last."""
        sculpt = self._document.sculpt
        return recipe, sculpt.digest if sculpt else ""

    @property
    def _is_changed(self) -> bool:
        """Whether the hold is another by now than the one that was written."""
        return self._made_from(self._document.recipe) != self._written_of

    # Results

    def _report(self, number: int, fraction: float, text: str) -> None:
        if number == self._number:
            self.export_foot.show_report(fraction, text)

    def _end(self, number: int, what: object, failed: str, stopped: bool) -> None:
        if number != self._number:
            return
        self._number = 0
        if isinstance(what, Exported):
            self._written, self._unseen = what, not self.isVisible()
            # The sculpt was read again before the files were made of it.
            self._written_of = self._made_from(self._sent)
            self._set_state("written")
            self.written.emit(what)
            if not self.isVisible():
                folder = printable(what.files[0][0].parent)
                self._document.said.emit(f"{counted(len(what.files), 'file')} written to {folder}")
            return
        self._set_state("choosing")
        if self._left:
            failed = "another was opened while they were being written."
        if self._left or (failed and not self.isVisible()):
            sentence = f"The files of {printable(self._written_for)} were not written: {failed}"
            # Not before the other document is open: that puts away what is said of the one before.
            QTimer.singleShot(0, self, lambda: self._document.failed.emit(sentence))
        else:
            stop = "Stopped; nothing was written." if stopped else ""
            self.export_foot.failure.show_words(failed or stop)

    # Filling and laying out

    def _refresh_seen(self) -> None:
        """Show what has changed, unless nobody looks: it is shown anew when it comes."""
        if self.isVisible():
            self.refresh()

    def _set_state(self, state: State) -> None:
        self.state = state
        self.refresh()

    def _back_to_choosing(self) -> None:
        """Drop the question or message of the choice before."""
        if self.state != "writing":
            self._unseen = False
            self.export_foot.failure.show_words("")
            self._set_state("choosing")

    def _leave(self) -> None:
        """Take note that the document goes while its files are being written."""
        self._left = self.state == "writing"

    def _ask_folder(self) -> None:
        folder = questions.which_folder(self, self.choice.path)
        if folder is not None:
            self.folder_line.setText(str(folder))

    def _connect(self) -> None:
        document = self._document
        document.leaving.connect(self._leave)
        # The next document has a folder of its own.
        document.opened.connect(self.folder_line.clear)
        for signal in (document.opened, document.recipe_changed, self.folder_line.textChanged):
            signal.connect(self._back_to_choosing)
        for signal in (document.step_shown, document.print_checked):
            signal.connect(self._refresh_seen)
        document.supervisor.reported.connect(self._report)
        document.supervisor.ended.connect(self._end)
        self.folder_line.returnPressed.connect(self._write)

    def _lay_out(self) -> None:
        self.add_heading("Parts")
        self._parts.changed.connect(self._back_to_choosing)
        self.column.addWidget(self._parts)
        self.add_heading("Formats")
        for name, (word, what) in FORMAT_WORDS.items():
            box = self.add_tick(f"{word}, {what}", f"Write {word}: {what}")
            box.setChecked(name in self._remembered.formats)
            box.toggled.connect(self._back_to_choosing)
            self.format_boxes[name] = box
        self.add_heading("In the files")
        self.option_fields = OptionFields(self._remembered.options, self)
        self.option_fields.changed.connect(self._back_to_choosing)
        self.option_fields.sheet_fields.preview_requested.connect(self._preview)
        self.column.addWidget(self.option_fields)
        self.add_heading("Folder")
        self.folder_line.setAccessibleName("Folder")
        self.folder_line.setToolTip("Where the files go; a new folder is made")
        self.column.addLayout(row((self.folder_line, 1), self.choose_button, gap=style.GRID))
        self._files_heading = self.add_heading("Files")
        self.files = FileList(self)
        self.column.addWidget(self.files)
        self._older = self.add_words(faint=True)
        self._unit = self.add_words(faint=True)
        self.column.addSpacing(style.GAP)
        self._changed = self.add_words()
        self._standing = self.add_words()
        self._further = self.add_words()
        self.step_button = QuietButton("Show the step", self, clicked=self._show_step)
        self.column.addLayout(row(self.step_button, None))
        self.column.addSpacing(style.GAP)
        self.column.addWidget(Rule(self))
        self.column.addSpacing(style.GRID)
        self.column.addWidget(caution_fold(self))
        self.column.addStretch(1)
        commands = {
            "write": self._write,
            "again": self._write,
            "replace": self._send,
            "cancel": self._back_to_choosing,
            "stop": lambda: self._document.supervisor.stop(self._number),
            "folder": self._show_files,
            "copy": lambda: QGuiApplication.clipboard().setText(str(self._folder)),
        }
        self.export_foot = ExportFooter(commands, self)
        self.add_foot(self.export_foot)
