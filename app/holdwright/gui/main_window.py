"""The one window: a bar on top, the route card at the left, the hold at the right, its measures beneath."""

from pathlib import Path

from PySide6.QtCore import QEvent, QSettings, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDragLeaveEvent, QDropEvent, QMouseEvent
from PySide6.QtWidgets import QSplitter, QStackedWidget, QWidget

from holdwright.catalogue.catalogue import Catalogue
from holdwright.gui.bars.actions import Actions
from holdwright.gui.bars.changed_strip import ChangedStrip
from holdwright.gui.bars.measure_bar import MeasureBar
from holdwright.gui.bars.revision_strip import RevisionStrip
from holdwright.gui.bars.top_bar import TopBar
from holdwright.gui.bars.view_bar import ViewBar
from holdwright.gui.document.autosave_folders import AutosaveFolders
from holdwright.gui.document.check_work import CheckWork
from holdwright.gui.document.document import OPEN_AGAIN, Document
from holdwright.gui.document.drops import dropped_paths
from holdwright.gui.document.opening import Opening
from holdwright.gui.document.print_work import PrintWork
from holdwright.gui.document.recent_files import RecentFiles
from holdwright.gui.document.sculpt_watch import SculptWatch
from holdwright.gui.document.strength_work import StrengthWork
from holdwright.gui.pages.export_page import ExportPanel
from holdwright.gui.pages.first_hints import FirstHints
from holdwright.gui.pages.help_page import HelpPage
from holdwright.gui.pages.joint_page import JointPage
from holdwright.gui.pages.missing_sculpt import DropFrame, MissingSculpt
from holdwright.gui.pages.preferences import Preferences, PreferencesPage
from holdwright.gui.pages.print.checks_page import ChecksPage
from holdwright.gui.pages.print.print_pages import print_pages
from holdwright.gui.pages.print.strength_page import StrengthPage
from holdwright.gui.pages.welcome_page import INSET, WelcomePage
from holdwright.gui.pages.whole_pages import WholePage, WholePages
from holdwright.gui.sidebar.sidebar import Sidebar
from holdwright.gui.sidebar.step_state import step_states
from holdwright.gui.sidebar.stopped_banner import StoppedBanner
from holdwright.gui.viewport.viewport import Viewport
from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import column
from holdwright.gui.widgets.notification import Notification
from holdwright.gui.widgets.number_format import Preferred, in_unit
from holdwright.gui.widgets.screen_fitted import ScreenFitted

SMALLEST = (960, 640)
USUAL = (1360, 880)
NARROWEST_VIEW = 240


class MainWindow(ScreenFitted):
    """Lays everything out and takes what is dropped; `Composition` makes the parts work together.

    Parameters
    ----------
    settings
        Where preferences, window layout and recent files are stored.
    autosave_folders
        Where the document is autosaved; released when the window closes.

    Attributes
    ----------
    left
        What stands at the left of the hold: the route card, or a page in its place.

    Signals
    -------
    closed
        The window goes; whatever runs for it is to end.
    """

    closed = Signal()

    def __init__(
        self,
        document: Document,
        catalogue: Catalogue,
        settings: QSettings,
        scheme: style.Scheme,
        autosave_folders: AutosaveFolders,
    ) -> None:
        super().__init__(QSize(*SMALLEST))
        self.document = document
        self.preferences = Preferences(settings, self)
        self.recents = RecentFiles(settings, autosave_folders.pictures)
        self._autosave_folders = autosave_folders
        self.print_work, self.check_work = PrintWork(document, self), CheckWork(document, self)
        self.strength_work = StrengthWork(document, self)
        self.sidebar = Sidebar(document, catalogue, self.print_work, self.check_work, self.strength_work)
        self.export_page = ExportPanel(document, settings)
        self.opening = Opening(
            self, document, self.recents, autosave_folders, lambda: self.export_page.state == "writing"
        )
        self.whole_pages = WholePages(self.opening, self)
        self._over: WholePage | None = None
        self.sculpt_watch = SculptWatch(document)
        self.joint_page = JointPage(document, catalogue)
        self.checks_page = ChecksPage(document, self.check_work)
        self.strength_page = StrengthPage(document, self.strength_work)
        self.print_pages = print_pages(
            document, catalogue, self.print_work, self.checks_page, self.strength_page
        )
        self.preferences_page = PreferencesPage(self.preferences)
        self.viewport = Viewport(None, scheme)
        self.actions_table = Actions(self, self.viewport)
        self.top_bar = TopBar(document, self.actions_table)
        self.view_bar = ViewBar()
        self.changed_strip, self.revision_strip = ChangedStrip(self.sculpt_watch), RevisionStrip(document)
        self.measure_bar = MeasureBar(document, self.print_work)
        self.welcome_page = WelcomePage(self.recents)
        # Above: beneath the hold are its dimension lines.
        self.notice = Notification(self.viewport, style.GAP, above=True)
        self.welcome_notice = Notification(self.welcome_page, INSET + style.MARGIN)
        self.stopped_banner = StoppedBanner(document, self.viewport, over=True)
        self.missing_sculpt = MissingSculpt(document, self.viewport)
        self.first_hints = FirstHints(document, self.preferences, self.viewport)
        self.drop_frame = DropFrame(self.viewport)
        self.missing_sculpt.find_requested.connect(self.opening.find_sculpt)
        self.left = QStackedWidget()
        self._splitter = QSplitter(Qt.Orientation.Horizontal)
        self._pages = QStackedWidget()
        self.trouble = Notification(self._lay_out(), INSET + style.MARGIN)
        self.help_page = HelpPage(
            self, self.actions_table.keys(in_view=False), self.actions_table.keys(in_view=True)
        )
        self.setAcceptDrops(True)
        self.resize(*USUAL)
        if not self.preferences.window_layout.isEmpty():
            self.restoreGeometry(self.preferences.window_layout)
        self.fit_to_screen()
        self.show_page()

    def begin(self, path: Path | None) -> None:
        """Offer what was left unsaved, then open the file named on the command line."""
        self.opening.recover()
        if path is not None:
            self.opening.open_path(path)

    def show_page(self) -> None:
        """Show the workbench when a document is open, the empty window when none is, or what lies over it."""
        is_open, over = self.document.session is not None, self._over
        self.actions_table.set_document_open(is_open and over is None)
        self._pages.setCurrentWidget(over or (self._splitter if is_open else self.welcome_page))
        if not is_open and over is None:
            self.welcome_page.refresh()
            self.welcome_page.setFocus()
        self.name_page()

    def name_page(self) -> None:
        """Say in bar and title what is open, and whether it is saved."""
        title = self._over.title if self._over is not None else ""
        self.top_bar.cover(title)
        name = self.opening.name if self.document.session is not None else ""
        touched = self.document.path is not None or bool(self.document.undo_text)
        star = "*" if self.document.dirty and touched else ""
        self.setWindowTitle(title or (f"{name}{star}" if name else ""))

    def show_over(self, page: WholePage | None) -> None:
        """Show a page over the workbench, or None for the workbench again."""
        if page is not self._over:
            self.trouble.hide()
        self._over = page
        self.show_page()
        if page is not None:
            page.setFocus()

    def show_left(self, page: QWidget) -> None:
        """Put the route card, or a page in its place, at the left of the hold; also in the empty window."""
        if self._over is not None:
            self.show_over(None)
        if self.document.session is None:
            beside = page is not self.sidebar
            self._pages.setCurrentWidget(self._splitter if beside else self.welcome_page)
        self.left.setCurrentWidget(page)
        page.setFocus()

    def store_thumbnail(self) -> None:
        """Keep what the open files look like, to know them by in the empty window."""
        picture = self.viewport.thumbnail
        for path in (self.document.path, self.document.sculpt_path):
            if picture is not None and path is not None:
                self.recents.store_thumbnail(path, picture)

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in a unit, wherever they are shown."""
        for shows in (
            self.sidebar,
            self.viewport,
            self.top_bar,
            self.measure_bar,
            self.view_bar,
            self.revision_strip,
            self.joint_page,
            self.export_page.option_fields,
            self.whole_pages,
        ):
            shows.set_unit(unit)
        for page in self.print_pages.values():
            page.set_unit(unit)

    def show_failure(self, sentence: str) -> None:
        """Show a sentence on what could not be done.

        Where a step refused its values the route card says so; else another try may go well.
        """
        document = self.document
        here = self.notice if document.session is not None else self.welcome_notice
        notice = here if self._over is None else self.trouble
        words = in_unit(sentence, self.preferences.length_unit)
        if sentence != document.failure:
            notice.fail(words, passing=sentence.endswith(OPEN_AGAIN))
        elif not any(each.failed and sentence.endswith(each.failed) for each in step_states(document)):
            notice.fail(words, again=self._over is None, passing=True)

    def _lay_out(self) -> QWidget:
        """Put everything in its place, and give what holds it all."""
        right = QWidget()
        strips = self.changed_strip, self.revision_strip
        column(self.view_bar, *strips, (self.viewport, 1), self.measure_bar, on=right)
        # On a small screen it is the view that gives way.
        right.setMinimumWidth(NARROWEST_VIEW)
        pages = (self.export_page, self.joint_page, self.preferences_page, *self.print_pages.values())
        for page in (self.sidebar, *pages):
            self.left.addWidget(page)
        self.left.setMinimumWidth(self.sidebar.minimumWidth())
        left = QWidget()
        # The route card has the failure's own words, in the row of the step.
        self.left_banner = StoppedBanner(
            self.document, left, tells_failure=lambda: self.left.currentWidget() is not self.sidebar
        )
        self.left.currentChanged.connect(self.left_banner.refresh)
        column(self.left_banner, (self.left, 1), on=left)
        self._splitter.addWidget(left)
        self._splitter.addWidget(right)
        self._splitter.setStretchFactor(0, 0)
        self._splitter.setStretchFactor(1, 1)
        self._splitter.setSizes([style.SIDEBAR_WIDTH, USUAL[0] - style.SIDEBAR_WIDTH])
        self._splitter.setHandleWidth(1)
        self._splitter.setChildrenCollapsible(False)
        self._pages.addWidget(self._splitter)
        for page in (self.welcome_page, *self.whole_pages.pages):
            self._pages.addWidget(page)
        held = QWidget()
        column(self.top_bar, (self._pages, 1), on=held)
        self.setCentralWidget(held)
        return held

    # Dropping

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:  # noqa: N802
        """Take files that hang over the window."""
        if dropped_paths(event.mimeData()):
            event.acceptProposedAction()
            self._show_hovered(True)

    def dragLeaveEvent(self, event: QDragLeaveEvent) -> None:  # noqa: N802
        """Let go what went elsewhere."""
        super().dragLeaveEvent(event)
        self._show_hovered(False)

    def dropEvent(self, event: QDropEvent) -> None:  # noqa: N802
        """Open what was dropped once the drop is over: no question may hold up the program it came from."""
        self._show_hovered(False)
        paths = dropped_paths(event.mimeData())
        event.acceptProposedAction()
        QTimer.singleShot(0, self, lambda: self.opening.open_any(paths))

    def _show_hovered(self, hovered: bool) -> None:
        for place in (self.welcome_page, self.missing_sculpt, self.drop_frame):
            place.set_hovered(hovered)

    # Going

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802
        """Ask about files being written and unsaved changes, then give everything back."""
        if not (self.whole_pages.may_leave() and self.opening.may_leave("Close")):
            event.ignore()
            return
        self.preferences.window_layout = self.saveGeometry()
        # Hidden at once: what follows may take a moment.
        self.hide()
        self.closed.emit()
        self.whole_pages.close()
        self.document.close()
        self.store_thumbnail()
        self._autosave_folders.release()
        self.viewport.close_view()
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Take the keyboard from fields when bare ground is clicked."""
        super().mousePressEvent(event)
        self.setFocus()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Look after the sculpt's file, which not every disk tells of."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.ActivationChange and self.isActiveWindow():
            QTimer.singleShot(0, self, self.sculpt_watch.look)
