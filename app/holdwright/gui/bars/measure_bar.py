"""The strip under the view: the hold's measures."""

from collections.abc import Mapping
from typing import Final

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QColor, QContextMenuEvent, QFontMetrics, QPainter
from PySide6.QtWidgets import QSizePolicy, QWidget

from holdwright.gui.document.document import Document
from holdwright.gui.document.hold_work import COMPUTING, triangles_of
from holdwright.gui.document.print_texts import together
from holdwright.gui.document.print_work import PrintWork
from holdwright.gui.widgets import style
from holdwright.gui.widgets.copying import offer_copy
from holdwright.gui.widgets.number_format import Preferred, count_text, mass_text, size_text, volume_text
from holdwright.gui.widgets.painting import Paper
from holdwright.hold.hold import CORE, SHELL, WHOLE
from holdwright.pipeline.views.display_results import ShownStep
from holdwright.printing.part_estimates import BOTH
from holdwright.ranges import adding_up

_BETWEEN: Final = (7 * style.GRID, 3 * style.GRID)
"""Room from figure to figure, pixels: the usual, and the least."""


class MeasureBar(Paper):
    """Size, volume, mass and triangles of the step worked on, or of the last that gave a solid.

    Parameters
    ----------
    work
        Gives the masses of the finished parts by their settings.

    Attributes
    ----------
    facts
        What it says, one figure each.
    """

    edge = "top"

    def __init__(
        self,
        document: Document,
        work: PrintWork,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._work = work
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
            work.changed,
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
        self.facts = _facts(step, self._unit, self._masses(step)) if step else ()
        self._stale = step is not None and not self._document.is_current(step.id)
        if self._stale and not self._document.busy:
            self.facts = ("Before the change:", *self.facts)
        text = ", ".join(self.facts)
        if step is not None:
            text += f"\n{_why(self._work)}"
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
        room = self.width() - 2 * style.MARGIN
        for count in range(len(self.facts), 0, -1):
            facts = self.facts[:count]
            left = room - sum(metrics.horizontalAdvance(fact) for fact in facts)
            between = min(left // (count - 1), _BETWEEN[0]) if count > 1 else _BETWEEN[0]
            if left >= 0 and between >= _BETWEEN[1]:
                return facts, between
        return (), 0

    def _masses(self, step: ShownStep) -> dict[str, str]:
        """Write masses of the finished parts: each beside its volume where those are shown, else together."""
        view = self._work.view
        if view is None or not self._work.is_current:
            computing = self._work.sentence == COMPUTING
            told = "mass being computed" if computing else "mass not computed yet"
            return {"": told} if step.measures is not None and step.sized else {}
        grams = adding_up([each.mass.likely for each in view.estimates.values()], 0)
        masses = dict(zip(view.estimates, map(mass_text, grams), strict=True))
        if self._work.made_for and step.key in self._work.made_for:
            return masses
        return {"": f"finished hold {mass_text(together(view).mass.likely)}"}

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


def _facts(step: ShownStep, unit: Preferred, masses: Mapping[str, str]) -> tuple[str, ...]:
    """Write a step's measures, the most important first; masses by part, "" for the finished hold's."""
    facts: list[str] = []
    if step.measures is not None and step.sized:
        low, high = step.measures.bounds_mm
        facts.append(size_text((high[0] - low[0], high[1] - low[1], high[2] - low[2]), unit))
        if SHELL in step.solids and CORE in step.solids:
            volumes = {part: step.solids[part].volume_mm3 for part in (SHELL, CORE)}
            volumes[BOTH] = step.measures.volume_mm3
        else:
            volumes = {WHOLE: step.measures.volume_mm3}
        for part, volume in volumes.items():
            words = (part if len(volumes) > 1 else "", volume_text(volume, unit))
            facts.append(", ".join(filter(None, (" ".join(filter(None, words)), masses.get(part)))))
    elif step.measures is not None:
        facts.append("not to size at this step")
    facts += [masses[""]] if masses.get("") else []
    if triangles := triangles_of(step):
        facts.append(f"{count_text(triangles)} triangles")
    return tuple(facts)


def _why(work: PrintWork) -> str:
    """Say what the masses are of, or why there are none."""
    if not work.is_current:
        return f"Mass: {work.sentence[:1].lower()}{work.sentence[1:]}"
    printed = work.document.recipe.print
    return (
        f"Masses are of the finished parts as printed: shell in {printed.shell_material}, "
        f"{printed.shell_infill:g} % filled, core in {printed.core_material}, {printed.core_infill:g} %; "
        "change that under To print, Settings."
    )
