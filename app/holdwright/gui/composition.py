"""Makes the parts of the window work together: who hears whom stands here and nowhere else."""

from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from holdwright.catalogue.catalogue import Catalogue
from holdwright.gui.bars.view_controls import ViewControls
from holdwright.gui.document import questions
from holdwright.gui.document.thickness_map import ThicknessMap
from holdwright.gui.handles import tool_for
from holdwright.gui.handles.step_presenter import StepPresenter
from holdwright.gui.handles.step_tool import StepTool
from holdwright.gui.main_window import MainWindow
from holdwright.gui.widgets import style
from holdwright.hold.finding import Finding
from holdwright.resources import sample_folder

SAMPLE = "hall-jug.obj"


class Composition(QObject):
    """Connects a window's parts.

    Parameters
    ----------
    heat
        Measures walls in a process of its own.
    """

    def __init__(self, window: MainWindow, catalogue: Catalogue, heat: ThicknessMap) -> None:
        super().__init__(window)
        self._window = window
        self._document = window.document
        self.stage = StepPresenter(
            window.document,
            window.viewport,
            lambda operation, step_id: tool_for(
                operation, step_id, window.document, catalogue, window.preferences.length_unit
            ),
        )
        self.viewing = ViewControls(
            window.document,
            window.viewport,
            window.view_bar,
            window.actions_table,
            self.stage,
            heat,
        )
        window.closed.connect(heat.close)
        window.joint_page.places.look_with(heat.supervisor)
        self._connect_document()
        self._connect_actions()
        self._connect_pages()
        window.preferences.changed.connect(self._take_preference)
        for name in ("length_unit", "camera_motion", "wall_grid"):
            self._take_preference(name)
        QGuiApplication.styleHints().colorSchemeChanged.connect(self._take_system_scheme)

    def _connect_document(self) -> None:
        window, document = self._window, self._document
        document.leaving.connect(window.store_thumbnail)
        document.saved.connect(window.store_thumbnail)
        document.opened.connect(window.show_page)
        document.path_changed.connect(window.show_page)
        document.failed.connect(window.show_failure)
        document.said.connect(window.notice.say)
        window.notice.again.clicked.connect(document.replay)
        document.recipe_changed.connect(window.notice.withdraw)
        document.opened.connect(window.notice.hide)
        window.welcome_page.open_asked.connect(self.open)
        window.welcome_page.sample_asked.connect(lambda: window.opening.open_path(sample_folder() / SAMPLE))
        window.welcome_page.path_chosen.connect(window.opening.open_path)

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
            "help": window.help_page.open,
            "preferences": lambda: window.show_left(window.preferences_page),
            "close": window.close,
        }
        for name, command in does.items():
            table[name].triggered.connect(lambda _on=False, command=command: command())
        table["wall_grid"].toggled.connect(self._show_wall)

    def _connect_pages(self) -> None:
        window = self._window
        for page in (window.export_page, window.joint_page, window.preferences_page):
            page.closed.connect(lambda: window.show_left(window.sidebar))
        self._document.opened.connect(lambda: window.show_left(window.sidebar))
        window.sidebar.finding_chosen.connect(self._go_to_finding)
        window.joint_page.finding_chosen.connect(self._go_to_finding)
        window.sidebar.pick_asked.connect(self._pick)
        window.viewport.marker_clicked.connect(self.stage.choose_marker)

    def open(self) -> None:
        """Ask for a file and open it."""
        recent = self._window.recents.paths
        path = questions.what_to_open(self._window, recent[0].parent if recent else Path.home())
        if path is not None:
            self._window.opening.open_path(path)

    def _show_wall(self, shown: bool) -> None:
        self._window.preferences.wall_grid = shown
        self._window.viewport.show_wall(shown)

    def _go(self, by: int) -> None:
        ids = [step.id for step in self._document.recipe.steps]
        selected = self._document.selected
        at = ids.index(selected) + by if selected in ids else 0
        if 0 <= at < len(ids):
            self._document.edits.select(ids[at])

    def _go_to_finding(self, step_id: str, finding: Finding) -> None:
        self.stage.go_to(step_id, finding)

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
                window.set_scheme(scheme)
        elif name == "length_unit":
            window.set_unit(window.preferences.length_unit)
            self.stage.renew_tool()
        elif name == "camera_motion":
            window.viewport.animated = window.preferences.camera_motion
        elif name == "wall_grid":
            window.viewport.show_wall(window.preferences.wall_grid)
            window.actions_table["wall_grid"].setChecked(window.preferences.wall_grid)
