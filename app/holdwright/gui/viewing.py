"""How the hold is looked at: views, section, parts, measuring and the map of its walls."""

from PySide6.QtCore import QObject

from holdwright.gui.heat import ThicknessMap
from holdwright.gui.main_window import MainWindow
from holdwright.gui.section_bar import Row
from holdwright.gui.stage import Stage
from holdwright.gui.viewport.measuring import MeasureTool

VIEWS = ("three_quarter", "front", "right", "left", "top", "back")


class Viewing(QObject):
    """Keeps the view, the bar above it, the top bar's switches and the keys in step."""

    def __init__(self, window: MainWindow, stage: Stage, heat: ThicknessMap) -> None:
        super().__init__(window)
        self._window = window
        self._stage = stage
        self._heat = heat
        self._connect_switches()
        self._connect_views()
        self._connect_bar()
        stage.shown_changed.connect(self._take_step)
        heat.ready.connect(self._show_heat)
        heat.thinnest_met.connect(
            lambda part, thickness, _place: window.section_bar.show_thinnest(part, thickness)
        )
        heat.failed.connect(window.section_bar.show_measuring)
        window.document.opened.connect(self._all_off)

    def _connect_switches(self) -> None:
        bar, table = self._window.top_bar, self._window.actions_table
        for toggled, name in (
            (bar.section_toggled, "section"),
            (bar.measure_toggled, "measure"),
            (bar.heat_toggled, "heat"),
        ):
            toggled.connect(table[name].setChecked)
        table["section"].toggled.connect(self._section)
        table["measure"].toggled.connect(self._measure)
        table["heat"].toggled.connect(self._heat_map)

    def _connect_views(self) -> None:
        viewport, table = self._window.viewport, self._window.actions_table
        for name in VIEWS:
            table[f"view_{name}"].triggered.connect(lambda _on=False, name=name: viewport.set_view(name))
        table["fit"].triggered.connect(viewport.fit)
        table["wall_grid"].toggled.connect(self._wall)
        self._window.top_bar.view_asked.connect(
            lambda name: viewport.fit() if name == "fit" else viewport.set_view(name)
        )

    def _connect_bar(self) -> None:
        bar, viewport = self._window.section_bar, self._window.viewport
        bar.section_changed.connect(self._cut)
        bar.parts_changed.connect(self._show_parts)
        bar.apart_changed.connect(viewport.set_apart)
        bar.heat_limit_changed.connect(lambda _limit: self._heat.request(self._stage.shown))

    def _wall(self, shown: bool) -> None:
        self._window.preferences.wall_grid = shown
        self._window.viewport.wall_shown = shown

    def _switch(self, name: Row, on: bool) -> None:
        self._window.section_bar.set_on(name, on)

    def _section(self, on: bool) -> None:
        self._window.top_bar.set_section_on(on)
        self._switch("section", on)

    def _cut(self, origin: object, normal: object) -> None:
        if origin is None or normal is None:
            self._window.viewport.clear_section()
        else:
            self._window.viewport.set_section(origin, normal)  # type: ignore[arg-type]

    def _show_parts(self, parts: frozenset[str]) -> None:
        one = next(iter(parts)) if len(parts) == 1 else "both"
        self._window.viewport.set_parts(one)  # type: ignore[arg-type]

    def _measure(self, on: bool) -> None:
        self._window.top_bar.set_measure_on(on)
        self._switch("measure", on)
        if on:
            self._stage.borrow(MeasureTool())
        else:
            self._stage.give_back()

    def _heat_map(self, on: bool) -> None:
        self._window.top_bar.set_heat_on(on)
        self._switch("heat", on)
        if on:
            self._window.section_bar.show_measuring("Measuring the walls ...")
            self._heat.request(self._stage.shown)
        else:
            self._heat.request(None)
            self._window.viewport.clear_heat()

    def _show_heat(self, key: str, part: str, values: object, low: float, high: float) -> None:
        shown = self._stage.shown
        if shown is None or shown.key != key or "heat" not in self._window.section_bar.on:
            return
        self._window.section_bar.show_measuring()
        limit = self._window.section_bar.heat_limit
        if part != "core":
            self._window.viewport.set_heat(values, low, high, limit, "Wall thickness")  # type: ignore[arg-type]

    def _take_step(self) -> None:
        shown = self._stage.shown
        bar = self._window.section_bar
        bar.show_step(shown)
        has_parts = shown is not None and len(shown.solids) > 1
        bar.set_on("parts", has_parts)
        if "heat" in bar.on:
            self._heat.request(shown)

    def _all_off(self) -> None:
        for name in ("section", "measure", "heat"):
            self._window.actions_table[name].setChecked(False)
