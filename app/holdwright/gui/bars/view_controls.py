"""How the hold is looked at: views, section, parts, measuring and the map of its walls."""

from typing import Final

import numpy as np
from PySide6.QtCore import QObject

from holdwright.geometry.arrays import Floats
from holdwright.gui.bars.actions import Actions
from holdwright.gui.bars.top_bar import VIEWS
from holdwright.gui.bars.view_bar import ViewBar
from holdwright.gui.document.document import Document
from holdwright.gui.document.thickness_map import ThicknessMap
from holdwright.gui.handles.ghost_drawing import GhostPainter
from holdwright.gui.handles.section_plane import SectionPlane
from holdwright.gui.handles.step_presenter import StepPresenter
from holdwright.gui.viewport.measuring import MeasureTool
from holdwright.gui.viewport.viewport import Viewport
from holdwright.gui.widgets.number_format import length_text
from holdwright.hold.hold import CORE
from holdwright.operations.import_sculpt import ImportSculpt

UNSIZED_UNIT = "% of the extent"
"""Of lengths before the hold has its size: import makes it 100 across for the time being."""


MEASURING: Final = "Measuring the thickness..."


class ViewControls(QObject):
    """Keeps the view, the bar above it, the top bar's switches and the keys in step."""

    def __init__(
        self,
        document: Document,
        viewport: Viewport,
        view_bar: ViewBar,
        actions: Actions,
        stage: StepPresenter,
        heat: ThicknessMap,
    ) -> None:
        super().__init__(viewport)
        self._document = document
        self._viewport = viewport
        self._view_bar = view_bar
        self._actions = actions
        self._stage = stage
        self._heat = heat
        self._measured: MeasureTool | None = None
        self._fields: dict[str, tuple[str, object, float, float]] = {}
        self._thinnest: tuple[float, Floats] | None = None
        self._words = GhostPainter(viewport, "thickness")
        viewport.set_fixture(SectionPlane(view_bar.section.slide_to))
        for name in VIEWS:
            view = actions[f"view_{name}"]
            view.triggered.connect(lambda _on=False, name=name: viewport.set_view(name))
        for signal, slot in (
            (actions["fit"].triggered, viewport.fit),
            (actions["section"].toggled, lambda on: view_bar.set_on("section", on)),
            (actions["measure"].toggled, self._measure),
            (actions["heat"].toggled, self._heat_map),
            (actions["raw"].toggled, self._raw),
            (view_bar.raw_requested, self._ask_raw),
            (view_bar.section_changed, self._cut),
            (view_bar.parts_changed, self._show_parts),
            (view_bar.apart_changed, viewport.set_apart),
            (view_bar.heat_limit_changed, self._show_heat),
            (view_bar.measure_cleared, self._clear_measured),
            (viewport.tool_changed, self._take_tool),
            (stage.raw_changed, view_bar.show_raw),
            (stage.cut_requested, view_bar.section.slide_to),
            (stage.shown_changed, self._take_step),
            (heat.ready, self._take_field),
            (heat.thinnest_found, self._take_thinnest),
            (heat.failed, view_bar.show_measuring),
            (view_bar.thinnest_requested, self._go_to_thinnest),
            (viewport.pointed, self._read_out),
            (viewport.dismissed, self._forget_thinnest),
            (document.opened, self._all_off),
            (document.selected_changed, self._take_selected),
        ):
            signal.connect(slot)

    def _cut(self, origin: object, normal: object) -> None:
        if origin is None or normal is None:
            self._viewport.clear_section()
        else:
            self._viewport.set_section(origin, normal)  # type: ignore[arg-type]

    def _show_parts(self, parts: frozenset[str]) -> None:
        one = next(iter(parts)) if len(parts) == 1 else "both"
        self._viewport.set_parts(one)  # type: ignore[arg-type]
        self._show_heat()

    def _measure(self, on: bool) -> None:
        self._view_bar.set_on("measure", on)
        if on:
            self._measured = MeasureTool(self._show_measured)
            self._show_measured()
            self._stage.borrow(self._measured)
            self._viewport.setFocus()
        else:
            self._measured = None
            self._stage.give_back()

    def _raw(self, on: bool) -> None:
        """Change over between before and after; that is looked at while the import is worked on."""
        step = self._import_step()
        if on and step:
            self._document.edits.select(step)
        self._stage.want_raw(on)

    def _ask_raw(self, raw: bool) -> None:
        """Do as the bar requests; where import gives no solid the sculpt stays."""
        self._actions["raw"].setChecked(raw)
        self._view_bar.show_raw(self._stage.raw)

    def _take_selected(self) -> None:
        at_import = bool(self._import_step()) and self._import_step() == self._document.selected
        if not at_import:
            self._actions["raw"].setChecked(False)
        self._view_bar.set_on("raw", at_import)

    def _import_step(self) -> str:
        steps = self._document.recipe.steps
        return next((step.id for step in steps if step.operation == ImportSculpt.name), "")

    def _show_measured(self) -> None:
        tool = self._measured
        if tool is not None:
            self._view_bar.show_measured(tool.distances, tool.angle)

    def _clear_measured(self) -> None:
        if self._measured is not None:
            self._measured.places.clear()
            self._measured.refresh()
            self._show_measured()

    def _take_tool(self) -> None:
        """Measuring is over when its tool was put down in the view."""
        if self._measured is not None and self._viewport.tool is None:
            self._actions["measure"].setChecked(False)

    def _heat_map(self, on: bool) -> None:
        self._view_bar.set_on("heat", on)
        if on:
            self._view_bar.show_measuring(MEASURING)
            self._heat.request(self._stage.shown)
        else:
            self._heat.request(None)
            self._words.clear()
            self._viewport.clear_colour_map()

    def _take_field(self, key: str, part: str, values: object, low: float, high: float) -> None:
        """Store the thickness over a part, and show it where the map is on."""
        shown = self._stage.shown
        if shown is not None and shown.key == key:
            self._fields[part] = (key, values, low, high)
            self._show_heat()

    def _show_heat(self) -> None:
        """Colour the core where it is shown alone, else the shell or the whole hold."""
        shown, bar = self._stage.shown, self._view_bar
        if shown is None or "heat" not in bar.on:
            return
        alone = CORE in shown.solids and bar.parts == {CORE}
        part = CORE if alone else next((name for name in shown.solids if name != CORE), "")
        key, values, low, high = self._fields.get(part, ("", None, 0.0, 0.0))
        if key == shown.key:
            viewport = self._viewport
            limit, unit = (bar.heat_limit, "mm") if shown.sized else (None, UNSIZED_UNIT)
            viewport.set_colour_map(values, low, high, limit, "Thickness", unit)  # type: ignore[arg-type]

    def _take_thinnest(self, part: str, thickness: float, place: object) -> None:
        shown = self._stage.shown
        self._thinnest = (thickness, np.asarray(place, dtype=np.float64))
        self._view_bar.show_thinnest(part, thickness, sized=shown is None or shown.sized)

    def _go_to_thinnest(self) -> None:
        if self._thinnest is not None:
            self._viewport.focus_on(self._thinnest[1])
            self._write("thinnest", *self._thinnest)

    def _forget_thinnest(self) -> None:
        self._words.clear()
        self._viewport.seen_through = False

    def _read_out(self, x: float, y: float) -> None:
        """Write how thick the hold is under the pointer."""
        scene = self._viewport.scene
        if scene.heat is None or "heat" not in self._view_bar.on:
            return
        pick = self._viewport.pick(x, y) if x >= 0.0 else None
        value = scene.heat.value_at(pick, scene.parts[pick.part].surface) if pick is not None else None
        if pick is None or value is None:
            self._words.clear()
        else:
            self._write("", value, pick.point)

    def _write(self, name: str, thickness: float, place: Floats) -> None:
        """Write a thickness at a place, in place of what was written."""
        shown, viewport = self._stage.shown, self._viewport
        sized = shown is None or shown.sized
        text = length_text(thickness, viewport.unit) if sized else f"{thickness:.2g} {UNSIZED_UNIT}"
        self._words.begin()
        spot = viewport.scene.shown_at(place[None])[0]
        if name == "thinnest":
            self._words.mark(name, spot)
        self._words.label(name, spot, f"{name} {text}" if name else f"{text} thick")
        self._words.end()

    def _take_step(self) -> None:
        shown = self._stage.shown
        bar = self._view_bar
        self._thinnest = None
        self._words.clear()
        # What was measured belongs to the hold that was shown.
        self._clear_measured()
        bar.show_step(shown)
        has_parts = shown is not None and len(shown.solids) > 1
        bar.set_on("parts", has_parts)
        if "heat" in bar.on:
            bar.show_measuring(MEASURING)
            self._heat.request(shown)

    def _all_off(self) -> None:
        for name in ("section", "measure", "heat", "raw"):
            self._actions[name].setChecked(False)
