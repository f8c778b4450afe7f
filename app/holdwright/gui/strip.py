"""The strip under the view: the hold's measures."""

from typing import Final

from PySide6.QtCore import QEvent, QRect, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from holdwright.gui import style
from holdwright.gui.document import Document
from holdwright.gui.figures import Preferred, count_text, size_text, volume_text
from holdwright.gui.tones import tones
from holdwright.hold.hold import CORE, SHELL
from holdwright.pipeline.shown import ShownStep

_BETWEEN: Final = 7 * style.GRID


class MeasuresStrip(QWidget):
    """Size, volume and triangles of the step worked on, or of the last that gave a solid."""

    def __init__(self, document: Document, unit: Preferred = "mm", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._unit: Preferred = unit
        self._facts: tuple[str, ...] = ()
        self._stale = False
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Measures")
        for signal in (document.opened, document.recipe_changed, document.selected_changed):
            signal.connect(self.refresh)
        document.step_shown.connect(lambda _id: self.refresh())
        self.refresh()

    @property
    def facts(self) -> tuple[str, ...]:
        """What it says, one figure each."""
        return self._facts

    def set_unit(self, unit: Preferred) -> None:
        """Show lengths in another unit."""
        self._unit = unit
        self.refresh()

    def refresh(self) -> None:
        """Read the measures anew."""
        step = self._step()
        self._facts = _facts(step, self._unit) if step else ()
        self._stale = step is not None and not self._document.is_current(step.id)
        text = ", ".join(self._facts)
        self.setToolTip(text)
        self.setAccessibleDescription(f"{text}{' (out of date)' if self._stale else ''}")
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the height of a row."""
        return QSize(100 * style.GRID, max(style.ROW, self.fontMetrics().height() + 2 * style.GAP))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Give room for one figure."""
        return QSize(30 * style.GRID, self.sizeHint().height())

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Take another face."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self.updateGeometry()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Write the figures from the left; those that have no room are in the tooltip."""
        del event
        tone = tones(self)
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(tone.paper))
        painter.fillRect(QRect(0, 0, self.width(), 1), QColor(tone.hairline))
        painter.setPen(QColor(tone.faint if self._stale else tone.ink))
        x = style.MARGIN
        for fact in self._facts:
            wide = painter.fontMetrics().horizontalAdvance(fact)
            if x + wide > self.width() - style.GAP:
                break
            painter.drawText(QRect(x, 0, wide + 2, self.height()), Qt.AlignmentFlag.AlignVCenter, fact)
            x += wide + _BETWEEN
        painter.end()

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


def _facts(step: ShownStep, unit: Preferred) -> tuple[str, ...]:
    """Write a step's measures, the most important first."""
    facts: list[str] = []
    if step.measures is not None and step.sized:
        low, high = step.measures.bounds_mm
        facts.append(size_text((high[0] - low[0], high[1] - low[1], high[2] - low[2]), unit))
        facts.append(volume_text(step.measures.volume_mm3, unit))
        if SHELL in step.solids and CORE in step.solids:
            facts.append(f"shell {volume_text(step.solids[SHELL].volume_mm3, unit)}")
            facts.append(f"core {volume_text(step.solids[CORE].volume_mm3, unit)}")
    elif step.measures is not None:
        facts.append("no true size yet")
    triangles = sum(len(solid.surface.triangles) for solid in step.solids.values())
    if triangles:
        facts.append(f"{count_text(triangles)} triangles")
    return tuple(facts)
