"""The wall to be worked on: holds are dragged from T-nut to T-nut, turned by their grip, or moved by keys."""

import math
from typing import Final

from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QFrame, QGraphicsScene, QGraphicsView, QWidget

from holdwright.gui.document.wall_work import WallWork
from holdwright.gui.pages.wall.wall_items import GRIP, HoldItem, WallGround
from holdwright.gui.widgets.painting import Restyled, tones
from holdwright.wall.t_nut_grid import nearest_t_nut, next_t_nut, t_nuts
from holdwright.wall.wall_file import ClimbingWall, PanelGrid, TNutGrid
from holdwright.wall.wall_plan import WallPlan, marked

TURN: Final = 15.0
FINE: Final = 5.0
"""TURN, FINE: degrees that a key turns a hold by, and to which the grip does."""
CLOSEST: Final = 4.0
"""Most pixels to a mm."""

_WAYS: Final = {
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Up: (0, 1),
    Qt.Key.Key_Down: (0, -1),
}
_TURNS: Final = {
    Qt.Key.Key_BracketLeft: TURN,
    Qt.Key.Key_BracketRight: -TURN,
    Qt.Key.Key_Comma: TURN,
    Qt.Key.Key_Period: -TURN,
}


class WallView(Restyled, QGraphicsView):
    """Draws the open wall to scale, and lets its holds be hung elsewhere.

    Signals
    -------
    chosen
        Number of the hold that is worked on, from 1; 0 for none.
    """

    chosen = Signal(int)

    def __init__(self, work: WallWork, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._work = work
        self._items: list[HoldItem] = []
        self._ground: WallGround | None = None
        self._grid: tuple[PanelGrid, TNutGrid] | None = None
        self._grabbed: tuple[str, QPointF] | None = None
        self._panned: QPointF | None = None
        self._drags = 0
        self._whole = True
        self.setScene(QGraphicsScene(self))
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.setViewportUpdateMode(QGraphicsView.ViewportUpdateMode.FullViewportUpdate)
        self.setTransformationAnchor(QGraphicsView.ViewportAnchor.AnchorUnderMouse)
        for set_policy in (self.setHorizontalScrollBarPolicy, self.setVerticalScrollBarPolicy):
            set_policy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("Wall")
        self.setAccessibleDescription(
            "Arrow keys move the chosen hold by one T-nut, comma and full stop turn it, Delete takes it off, "
            "N chooses the next one."
        )
        work.opened.connect(self._begin)
        work.changed.connect(self.refresh)
        self.restyle()

    @property
    def number(self) -> int:
        """Of the hold that is worked on, from 1; 0 for none."""
        return next((item.one.number for item in self._items if item.isSelected()), 0)

    def choose(self, number: int) -> None:
        """Work on a hold; 0 for none."""
        for item in self._items:
            item.setSelected(item.one.number == number)
            item.setZValue(float(item.isSelected()))
        self.chosen.emit(self.number)

    def place_of(self, number: int) -> QPointF:
        """Give where a hold's bolt is seen, in the view's pixels."""
        return QPointF(self.mapFromScene(self._items[number - 1].pos()))

    def refresh(self) -> None:
        """Show what hangs now."""
        plan, number = self._work.plan, self.number
        hung = plan.hung if plan else ()
        if plan is not None and (plan.wall.panels, plan.wall.t_nuts) != self._grid:
            self._draw_ground(plan.wall)
            # Holds that came off leave other numbers to the rest.
            number = number if len(hung) == len(self._items) else 0
        while len(self._items) > len(hung):
            self.scene().removeItem(self._items.pop())
        for place, one in enumerate(hung):
            severity = marked(plan.findings, one) if plan else ""
            if place < len(self._items):
                self._items[place].show_hung(one, severity)
            else:
                self._items.append(HoldItem(one, severity))
                self.scene().addItem(self._items[-1])
        self.choose(number if number <= len(hung) else 0)

    def fit(self) -> None:
        """Show the whole wall."""
        self._whole = True
        self.fitInView(self.sceneRect(), Qt.AspectRatioMode.KeepAspectRatio)

    def restyle(self) -> None:
        """Take the colours of the scheme."""
        self.setBackgroundBrush(QColor(tones(self).paper))

    # What the pointer does

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Take hold of a hold or its grip, or choose none; other buttons take hold of the wall."""
        if event.button() != Qt.MouseButton.LeftButton:
            self._panned = event.position()
            return
        at = self.mapToScene(event.position().toPoint())
        self._drags += 1
        current = self._item()
        if current is not None and self._is_on_grip(current, event.position()):
            self._grabbed = "turn", at
            return
        under = [item for item in self.items(event.position().toPoint()) if isinstance(item, HoldItem)]
        met = current if current in under else under[0] if under else None
        self.choose(met.one.number if met else 0)
        self._grabbed = ("move", met.pos() - at) if met else None

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Hang what is held at the next T-nut, or turn it, or move what is seen of the wall."""
        if self._panned is not None:
            way, self._panned = event.position() - self._panned, event.position()
            for bar, by in ((self.horizontalScrollBar(), way.x()), (self.verticalScrollBar(), way.y())):
                bar.setValue(bar.value() - round(by))
            return
        item, plan = self._item(), self._work.plan
        if self._grabbed is None or item is None or plan is None:
            return
        kind, offset = self._grabbed
        at, one = self.mapToScene(event.position().toPoint()), item.one
        if kind == "move":
            place = at + offset
            self._hang(plan, nearest_t_nut(plan.places, place.x(), -place.y()), one.turn)
        else:
            way = at - item.pos()
            angle = math.degrees(math.atan2(-way.y(), way.x())) - 90.0
            self._hang(plan, one.t_nut, FINE * round(angle / FINE))

    def mouseReleaseEvent(self, _event: QMouseEvent) -> None:  # noqa: N802
        """Let go."""
        self._grabbed = self._panned = None

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802
        """Come nearer, or go away as far as the whole wall."""
        factor = 1.2 ** (event.angleDelta().y() / 120.0)
        if self.transform().m11() * factor > CLOSEST:
            return
        self.scale(factor, factor)
        whole = self.sceneRect()
        fits = min(self.viewport().width() / whole.width(), self.viewport().height() / whole.height())
        self._whole = self.transform().m11() <= fits
        if self._whole:
            self.fit()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Move, turn, take off or choose another hold."""
        key, plan, number = Qt.Key(event.key()), self._work.plan, self.number
        if plan is None:
            super().keyPressEvent(event)
        elif key == Qt.Key.Key_N and plan.hung:
            self.choose(number % len(plan.hung) + 1)
        elif number and key in _WAYS:
            one = plan.hung[number - 1]
            self._drags += 1
            self._hang(plan, next_t_nut(plan.places, one.t_nut, _WAYS[key]), one.turn)
        elif number and key in _TURNS:
            self.turn(_TURNS[key])
        elif number and key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.take_off()
        else:
            event.ignore()

    def turn(self, by: float) -> None:
        """Turn the chosen hold by so many degrees, counter-clockwise."""
        item, plan = self._item(), self._work.plan
        if item is not None and plan is not None:
            self._drags += 1
            self._hang(plan, item.one.t_nut, item.one.turn + by)

    def take_off(self) -> None:
        """Take the chosen hold off the wall."""
        plan, number = self._work.plan, self.number
        if plan is not None and number:
            self.choose(0)
            plan.remove(number)
            self._work.changed.emit()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Show the whole wall still, unless it is looked at more closely."""
        super().resizeEvent(event)
        if self._whole:
            self.fit()

    def _hang(self, plan: WallPlan, t_nut: str, turn: float) -> None:
        before = plan.wall.placed
        plan.hang(self.number, t_nut, turn, f"drag {self._drags}")
        if plan.wall.placed != before:
            self._work.changed.emit()

    def _item(self) -> HoldItem | None:
        return next((item for item in self._items if item.isSelected()), None)

    def _is_on_grip(self, item: HoldItem, at: QPointF) -> bool:
        grip = QPointF(self.mapFromScene(item.pos() + item.grip(self.transform().m11())))
        away = grip - at
        return math.hypot(away.x(), away.y()) <= GRIP + 3.0

    def _begin(self) -> None:
        self.scene().clear()
        self._items, self._ground = [], None
        self._draw_ground(self._work.wall)
        self.fit()
        self.chosen.emit(0)

    def _draw_ground(self, wall: ClimbingWall) -> None:
        """Draw panels and T-nuts, in place of those drawn before."""
        if self._ground is not None:
            self.scene().removeItem(self._ground)
        self._ground, self._grid = WallGround(wall, dict(t_nuts(wall))), (wall.panels, wall.t_nuts)
        self._ground.setZValue(-1.0)
        self.scene().addItem(self._ground)
        self.scene().setSceneRect(self._ground.boundingRect())
        if self._whole:
            self.fit()
