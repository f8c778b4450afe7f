"""Makes the parts of the window work together: who hears whom stands here and nowhere else."""

from pathlib import Path

from PySide6.QtCore import QEvent, QObject, QPointF, Qt
from PySide6.QtGui import QGuiApplication, QMouseEvent
from PySide6.QtWidgets import QApplication

from holdwright.catalogue.catalogue import Catalogue
from holdwright.gui.bars.check_colours import CheckColours
from holdwright.gui.bars.distance_colours import DistanceColours
from holdwright.gui.bars.view_controls import ViewControls
from holdwright.gui.bars.view_menu import ViewMenu
from holdwright.gui.document import questions
from holdwright.gui.document.check_map import CheckMap
from holdwright.gui.document.distance_map import DistanceMap
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.gui.document.thickness_map import ThicknessMap
from holdwright.gui.handles import tool_for
from holdwright.gui.handles.old_hold import OldHold
from holdwright.gui.handles.step_presenter import StepPresenter
from holdwright.gui.handles.step_tool import StepTool
from holdwright.gui.handles.weak_place import WeakPlace
from holdwright.gui.main_window import MainWindow
from holdwright.gui.pages.whole_pages import WholePage
from holdwright.gui.widgets import style
from holdwright.hold.finding import Finding
from holdwright.printable import printable
from holdwright.printing.print_parameters import PrintParameters
from holdwright.resources import sample_folder

SAMPLE = "hall-jug.obj"


class Composition(QObject):
    """Connects a window's parts.

    Parameters
    ----------
    heat
        Measures thickness in a process of its own.
    strength
        Its process computes the strength, which takes long.
    """

    def __init__(
        self, window: MainWindow, catalogue: Catalogue, heat: ThicknessMap, strength: GeometrySupervisor
    ) -> None:
        super().__init__(window)
        self._window = window
        self._document = window.document
        document, viewport, preferences = window.document, window.viewport, window.preferences
        self.stage = StepPresenter(
            document,
            viewport,
            lambda operation, step_id: tool_for(
                operation, step_id, document, catalogue, preferences.length_unit
            ),
        )
        self._old_hold = OldHold(document, viewport, self.stage)
        ViewControls(document, viewport, window.view_bar, window.actions_table, self.stage, heat)
        maps = CheckMap(document, self)
        colours = CheckColours(document, viewport, window.view_bar, window.actions_table, self.stage, maps)
        window.checks_page.check_chosen.connect(colours.show_check)
        weak = WeakPlace(document, viewport, self.stage)
        window.strength_page.place_shown.connect(weak.show_result)
        window.strength_work.use(strength)
        window.closed.connect(strength.close)
        distances = DistanceMap(document, self)
        self._distances = DistanceColours(document, viewport, window.actions_table, self.stage, distances)
        ViewMenu(viewport, window.actions_table, lambda: window.measure_bar.facts)
        window.closed.connect(heat.close)
        window.joint_page.places.task.use(heat.supervisor)
        for work in (window.print_work, window.check_work, maps, distances):
            work.use(heat.supervisor)
        self._connect_signals()
        self._connect_actions()
        for name in ("length_unit", "camera_motion", "wall_grid", "replay_changed"):
            self._take_preference(name)
        window.sidebar.to_print.fold(preferences.print_folded)
        window.sidebar.findings.reshape(preferences.findings_folded, preferences.findings_share)
        QGuiApplication.styleHints().colorSchemeChanged.connect(self._take_system_scheme)

    def _connect_signals(self) -> None:
        window, document = self._window, self._document
        for signal, slot in (
            (document.leaving, window.store_thumbnail),
            (document.saved, window.store_thumbnail),
            (document.opened, lambda: window.show_over(None)),
            (document.path_changed, window.show_page),
            (document.failed, window.show_failure),
            (document.said, window.notice.say),
            (document.recipe_changed, window.notice.withdraw),
            (document.opened, window.notice.hide),
            (document.opened, self._show_sidebar),
            (window.notice.again.clicked, document.replay),
            (window.welcome_page.open_requested, self.open),
            (window.welcome_page.sample_requested, self._open_sample),
            (window.welcome_page.path_chosen, window.opening.open_path),
            (window.export_page.closed, self._show_sidebar),
            (window.joint_page.closed, self._show_sidebar),
            (window.preferences_page.closed, self._show_sidebar),
            (window.sidebar.to_print.page_requested, self._show_print),
            (
                window.sidebar.to_print.folded,
                lambda folded: setattr(window.preferences, "print_folded", folded),
            ),
            (window.left_banner.step_requested, self._show_step),
            (window.stopped_banner.step_requested, self._show_step),
            (window.sidebar.finding_chosen, self._go_to_finding),
            (window.joint_page.finding_chosen, self.stage.go_to),
            (window.sidebar.card.pick_requested, self._pick),
            (window.sidebar.findings.reshaped, self._keep_findings),
            (window.revision_strip.old_wanted, self._old_hold.set_shown),
            (window.revision_strip.swipe_wanted, self._old_hold.set_swiped),
            (window.revision_strip.share_changed, self._old_hold.set_share),
            (window.revision_strip.distance_wanted, self._distances.set_shown),
            (self._distances.left, lambda: window.revision_strip.drop_distance(True)),
            (window.checks_page.check_chosen, window.revision_strip.drop_distance),
            (window.actions_table["heat"].toggled, window.revision_strip.drop_distance),
            (window.sculpt_watch.changed, window.missing_sculpt.refresh),
            (
                window.changed_strip.each_time_wanted,
                lambda: setattr(window.preferences, "replay_changed", True),
            ),
            (window.viewport.marker_clicked, self.stage.choose_marker),
            (window.preferences.changed, self._take_preference),
            (window.whole_pages.shown, window.show_over),
            (window.whole_pages.closed, lambda: window.show_over(None)),
            (window.whole_pages.failed, window.show_failure),
            (window.whole_pages.said, window.trouble.say),
            (window.whole_pages.set_work.opened, window.top_bar.offer_set),
            (window.whole_pages.set_work.changed, self._tell_set),
            (window.whole_pages.set_work.row_changed, self._tell_set),
            (window.whole_pages.wall_work.changed, window.name_page),
            (window.whole_pages.set_work.opened, window.trouble.hide),
            (window.whole_pages.wall_work.opened, window.trouble.hide),
        ):
            signal.connect(slot)
        for page in window.print_pages.values():
            page.closed.connect(self._show_sidebar)
            page.page_requested.connect(self._show_print)

    def _connect_actions(self) -> None:
        window, document = self._window, self._document
        table = window.actions_table
        does = {
            "open": self.open,
            "save": lambda: window.opening.save(),
            "save_as": lambda: window.opening.save(elsewhere=True),
            "export": lambda: window.show_left(window.export_page),
            "joint": lambda: window.show_left(window.joint_page),
            "undo": document.edits.undo,
            "redo": document.edits.redo,
            "previous_step": lambda: self._go(-1),
            "next_step": lambda: self._go(1),
            "click": self._click_middle,
            "copy_picture": lambda: QGuiApplication.clipboard().setPixmap(window.viewport.grab()),
            "save_picture": self._save_picture,
            "set": lambda: self._show_whole(window.whole_pages.set_page),
            "wall_plan": lambda: self._show_whole(window.whole_pages.wall_page),
            "help": window.help_page.open,
            "preferences": lambda: window.show_left(window.preferences_page),
            "close": window.close,
        }
        for name, command in does.items():
            table[name].triggered.connect(lambda _on=False, command=command: command())
        table["wall_grid"].toggled.connect(self._show_wall)

    def _show_sidebar(self) -> None:
        self._window.show_left(self._window.sidebar)

    def _show_whole(self, page: WholePage) -> None:
        """Show the open set or wall; where there is none, ask for one."""
        if page.work.path is None:
            self.open()
        else:
            self._window.whole_pages.show(page)

    def _tell_set(self) -> None:
        work = self._window.whole_pages.set_work
        self._window.top_bar.tell_set(f"{work.name}: {work.progress}" if work.busy else "")

    def _show_print(self, name: str) -> None:
        self._window.show_left(self._window.print_pages.get(name, self._window.export_page))

    def _go_to_finding(self, found_by: str, finding: Finding) -> None:
        if finding.where is None and found_by == PrintParameters.name:
            self._show_print("checks")
        self.stage.go_to(found_by, finding)

    def _show_step(self, step_id: str) -> None:
        self._document.edits.select(step_id)
        self._show_sidebar()

    def _open_sample(self) -> None:
        self._window.opening.open_path(sample_folder() / SAMPLE)

    def _click_middle(self) -> None:
        """Do what a click in the middle of the view does, for those who work by key."""
        viewport, left = self._window.viewport, Qt.MouseButton.LeftButton
        widget = viewport.childAt(viewport.rect().center())
        if widget is None:
            return
        place, bare = QPointF(widget.rect().center()), Qt.KeyboardModifier.NoModifier
        where = widget.mapToGlobal(place)
        for kind, held in (
            (QEvent.Type.MouseButtonPress, left),
            (QEvent.Type.MouseButtonRelease, Qt.MouseButton.NoButton),
        ):
            QApplication.sendEvent(widget, QMouseEvent(kind, place, where, left, held, bare))

    def _save_picture(self) -> None:
        picture = self._window.viewport.grab()
        path = questions.where_to_save(self._window, self._window.opening.suggestion(".png"), "picture")
        if path is not None and picture.save(str(path)):
            self._document.said.emit(f"Saved {printable(path.name)}")
        elif path is not None:
            self._document.failed.emit(f"{printable(path)} could not be written; choose another folder.")

    def open(self) -> None:
        """Ask for a file and open it."""
        recent = self._window.recents.paths
        path = questions.what_to_open(self._window, recent[0].parent if recent else Path.home())
        if path is not None:
            self._window.opening.open_path(path)

    def _keep_findings(self, folded: bool, share: int) -> None:
        self._window.preferences.findings_folded = folded
        self._window.preferences.findings_share = share

    def _show_wall(self, shown: bool) -> None:
        self._window.preferences.wall_grid = shown
        self._window.viewport.wall_shown = shown

    def _go(self, by: int) -> None:
        ids = [step.id for step in self._document.recipe.steps]
        selected = self._document.selected
        at = ids.index(selected) + by if selected in ids else 0
        if 0 <= at < len(ids):
            self._document.edits.select(ids[at])

    def _pick(self, step_id: str, field: str) -> None:
        """Let the next click in the view give a place for a field."""
        self._window.actions_table["measure"].setChecked(False)
        self._document.edits.select(step_id)
        tool = self._window.viewport.tool
        if isinstance(tool, StepTool):
            tool.pick_for(field)

    def _take_system_scheme(self) -> None:
        self._take_preference("scheme")

    def _take_preference(self, name: str) -> None:
        window = self._window
        if name == "scheme":
            application = QApplication.instance()
            if isinstance(application, QApplication):
                scheme = window.preferences.scheme_for(application)
                style.apply(application, scheme)
                window.viewport.set_scheme(scheme)
        elif name == "length_unit":
            window.set_unit(window.preferences.length_unit)
            self.stage.renew_tool()
        elif name == "camera_motion":
            window.viewport.animated = window.preferences.camera_motion
        elif name == "wall_grid":
            window.viewport.wall_shown = window.preferences.wall_grid
            window.actions_table["wall_grid"].setChecked(window.preferences.wall_grid)
        elif name == "replay_changed":
            window.sculpt_watch.set_automatic(window.preferences.replay_changed)
