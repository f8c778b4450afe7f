"""The strip under the view: the hold's measures."""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QColor, QContextMenuEvent, QFontMetrics, QPainter
from PySide6.QtWidgets import QSizePolicy, QWidget

from holdwright.catalogue.materials import Material
from holdwright.gui.document.document import Document
from holdwright.gui.widgets import style
from holdwright.gui.widgets.copying import offer_copy
from holdwright.gui.widgets.number_format import Preferred, count_text, mass_text, size_text, volume_text
from holdwright.gui.widgets.painting import Paper
from holdwright.hold.hold import CORE, SHELL
from holdwright.pipeline.display_results import ShownStep

_BETWEEN: Final = (7 * style.GRID, 3 * style.GRID)
"""Room from figure to figure, pixels: the usual, and the least."""


class MeasureBar(Paper):
    """Size, volume, mass and triangles of the step worked on, or of the last that gave a solid.

    Parameters
    ----------
    material
        Gives what the hold is to be printed in; None where that is not known, and no masses are written.

    Attributes
    ----------
    facts
        What it says, one figure each.
    """

    edge = "top"

    def __init__(
        self,
        document: Document,
        material: Callable[[], Material | None] = lambda: None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._material = material
        self._unit: Preferred = "mm"
        self.facts: tuple[str, ...] = ()
        self._stale = False
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Measures")
        for signal in (
            document.opened,
            document.recipe_changed,
            document.selected_changed,
            document.step_shown,
            document.stopped_changed,
            document.busy_changed,
        ):
            signal.connect(self.refresh)
        self.refresh()

    @property
    def written(self) -> tuple[str, ...]:
        """Those of its figures that have room; the others are in the tooltip."""
        return self._fitting(self.fontMetrics())[0]

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        self._unit = unit
        self.refresh()

    def refresh(self) -> None:
        """Read the measures anew."""
        step = self._step()
        material = self._material()
        self.facts = _facts(step, self._unit, material) if step else ()
        self._stale = step is not None and not self._document.is_current(step.id)
        if self._stale and not self._document.busy:
            self.facts = ("Before the change:", *self.facts)
        text = ", ".join(self.facts)
        if material is not None and any(fact.endswith(" solid") for fact in self.facts):
            text += (
                f"\nMasses are of solid {material.name}, {material.density:g} g/cm³, before infill; "
                "the material is chosen on the page of the joint."
            )
        self.setToolTip(text)
        self.setAccessibleDescription(f"{text}{' (out of date)' if self._stale else ''}")
        self.update()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:  # noqa: N802
        """Offer to copy the figures."""
        if self.facts:
            offer_copy(self, "Copy figures", ", ".join(self.facts), event.globalPos())

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the height of a row."""
        return QSize(100 * style.GRID, max(style.ROW, self.fontMetrics().height() + 2 * style.GAP))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Give room for one figure."""
        return QSize(30 * style.GRID, self.sizeHint().height())

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Write the figures from the left."""
        super().paint(painter, tone)
        painter.setPen(QColor(tone.faint if self._stale else tone.ink))
        facts, between = self._fitting(painter.fontMetrics())
        x = style.MARGIN
        for fact in facts:
            wide = painter.fontMetrics().horizontalAdvance(fact)
            painter.drawText(QRect(x, 0, wide + 2, self.height()), Qt.AlignmentFlag.AlignVCenter, fact)
            x += wide + between

    def _fitting(self, metrics: QFontMetrics) -> tuple[tuple[str, ...], int]:
        """Give the figures that have room, and the room between them: the last gives way first."""
        room = self.width() - style.MARGIN - style.GAP
        for count in range(len(self.facts), 0, -1):
            facts = self.facts[:count]
            left = room - sum(metrics.horizontalAdvance(fact) for fact in facts)
            between = min(left // (count - 1), _BETWEEN[0]) if count > 1 else _BETWEEN[0]
            if left >= 0 and between >= _BETWEEN[1]:
                return facts, between
        return (), 0

    def _step(self) -> ShownStep | None:
        """Give the step worked on if it has measures, else the nearest before it, else the last that has."""
        ids = [step.id for step in self._document.recipe.steps]
        selected = self._document.selected
        upto = ids[: ids.index(selected) + 1] if selected in ids else ids
        for step_id in (*reversed(upto), *reversed(ids)):
            step = self._document.step(step_id)
            if step is not None and step.measures is not None:
                return step
        return None


def _facts(step: ShownStep, unit: Preferred, material: Material | None) -> tuple[str, ...]:
    """Write a step's measures, the most important first."""
    facts: list[str] = []
    if step.measures is not None and step.sized:
        low, high = step.measures.bounds_mm
        facts.append(size_text((high[0] - low[0], high[1] - low[1], high[2] - low[2]), unit))
        if SHELL in step.solids and CORE in step.solids:
            parts = (SHELL, CORE)
            facts += [f"{part} {_amount(step.solids[part].volume_mm3, unit, material)}" for part in parts]
            facts.append(f"both {volume_text(step.measures.volume_mm3, unit)}")
        else:
            facts.append(_amount(step.measures.volume_mm3, unit, material))
    elif step.measures is not None:
        facts.append("size not set yet")
    triangles = sum(len(solid.surface.triangles) for solid in step.solids.values())
    if triangles:
        facts.append(f"{count_text(triangles)} triangles")
    return tuple(facts)


def _amount(volume_mm3: float, unit: Preferred, material: Material | None) -> str:
    """Write a volume and what it weighs where all of it is material."""
    volume = volume_text(volume_mm3, unit)
    if material is None:
        return volume
    return f"{volume}, {mass_text(volume_mm3 / 1000.0 * material.density)} solid"
