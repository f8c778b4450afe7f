"""The pointer and the keys over the view: flags first, then tools, then the camera."""

from typing import Any, Final, Protocol, cast

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QNativeGestureEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.markers import Flags
from holdwright.gui.viewport.navigation import Navigation
from holdwright.gui.viewport.picking import Pick
from holdwright.gui.viewport.tool import Tool, ToolEvent
from holdwright.gui.viewport.view_camera import Lens

NOTCH: Final = 120.0

_SILENT: Final = {
    QEvent.Type.KeyRelease,
    QEvent.Type.Enter,
    QEvent.Type.ContextMenu,
    QEvent.Type.TabletMove,
    QEvent.Type.TabletPress,
    QEvent.Type.TabletRelease,
}
"""Kept from the drawing widget, which would act on them in its own way."""


_BY_KEY: Final = {
    Qt.FocusReason.TabFocusReason,
    Qt.FocusReason.BacktabFocusReason,
    Qt.FocusReason.ShortcutFocusReason,
}


class FilteredView(Protocol):
    """What hands need to know of the view."""

    @property
    def lens(self) -> Lens:
        """How the scene is looked at."""

    @property
    def tool(self) -> Tool[Any] | None:
        """What is in hand."""

    @property
    def fixture(self) -> Tool[Any] | None:
        """What can be grasped whatever is in hand."""

    def pick(self, x: float, y: float) -> Pick | None:
        """Give what lies under a pixel."""

    def ray(self, x: float, y: float) -> tuple[Floats, Floats]:
        """Give the line of sight through a pixel."""


class EventFilter(QObject):
    """Listens to the drawing widget.

    Signals
    -------
    flag_clicked
        The number of a flag.
    flag_hovered
        Another flag, or none (-1), is under the pointer.
    centred
        A place was double-clicked: x, y.
    held_changed
        Whether a button is held down for the camera.
    escaped
        Escape was pressed, and the tool in hand did not want it.
    fit_asked
        Home was pressed.
    focus_shown
        Whether the view has come to listen to the keys by way of a key, which people need to see.
    """

    flag_clicked = Signal(int)
    flag_hovered = Signal(int)
    centred = Signal(float, float)
    held_changed = Signal(bool)
    escaped = Signal()
    fit_asked = Signal()
    focus_shown = Signal(bool)

    def __init__(self, view: FilteredView, navigation: Navigation, flags: Flags, widget: QWidget) -> None:
        super().__init__(widget)
        self._view = view
        self._navigation = navigation
        self._flags = flags
        self._widget = widget
        self._held: Qt.MouseButton | None = None
        self._taker: Tool[Any] | None = None
        self._again = False
        self._hovered: Tool[Any] | None = None
        self._flag = -1
        widget.installEventFilter(self)

    def stop(self) -> None:
        """Listen no more."""
        self._widget.removeEventFilter(self)

    def drop_tool(self) -> None:
        """Forget a drag of a tool that is put down."""
        if self._taker is self._view.tool:
            self._taker = None
        self._hovered = None

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:  # noqa: N802
        """Answer what concerns the view, and let pass what concerns its being drawn."""
        kind = event.type()
        if kind == QEvent.Type.MouseMove:
            self._move(cast("QMouseEvent", event))
        elif kind == QEvent.Type.MouseButtonPress:
            self._press(cast("QMouseEvent", event))
        elif kind == QEvent.Type.MouseButtonRelease:
            self._release(cast("QMouseEvent", event))
        elif kind == QEvent.Type.MouseButtonDblClick:
            self._double_click(cast("QMouseEvent", event))
        elif kind == QEvent.Type.Wheel:
            self._wheel(cast("QWheelEvent", event))
        elif kind == QEvent.Type.NativeGesture:
            self._gesture(cast("QNativeGestureEvent", event))
        elif kind == QEvent.Type.KeyPress:
            return self._key(cast("QKeyEvent", event))
        elif kind == QEvent.Type.Leave:
            self._leave()
        elif kind not in _SILENT:
            if kind in (QEvent.Type.FocusIn, QEvent.Type.FocusOut):
                reason = cast("QFocusEvent", event).reason()
                self.focus_shown.emit(kind == QEvent.Type.FocusIn and reason in _BY_KEY)
            return False
        return True

    def _press(self, event: QMouseEvent) -> None:
        event.accept()
        self._widget.setFocus(Qt.FocusReason.MouseFocusReason)
        if self._held is not None:
            return
        x, y, button = event.position().x(), event.position().y(), event.button()
        self._held, self._again = button, False
        if button == Qt.MouseButton.LeftButton:
            self._flag = self._flags.at(x, y, self._view.lens)
            if self._flag >= 0 or self._is_taken(event):
                return
        self._navigation.press(x, y, button, event.modifiers())
        self.held_changed.emit(True)

    def _move(self, event: QMouseEvent) -> None:
        event.accept()
        x, y = event.position().x(), event.position().y()
        if self._held is None:
            self._hover(event, x, y)
        elif self._taker is not None:
            if not self._taker.move(self._told(event)):
                self._hand_over(event, x, y)
        elif self._flag < 0:
            self._navigation.move(x, y)

    def _is_taken(self, event: QMouseEvent) -> bool:
        """Offer a press to the tools, and tell whether one of them took it."""
        told = self._told(event)
        first = self._fixture_at(told) or self._view.tool
        self._taker = first if first is not None and first.press(told) else None
        return self._taker is not None

    def _fixture_at(self, told: ToolEvent) -> Tool[Any] | None:
        """Give the fixture where it can be grasped: before clicks of the tool in hand, after its handles."""
        fixture, tool = self._view.fixture, self._view.tool
        if fixture is None or not fixture.reaches(told) or (tool is not None and tool.reaches(told)):
            return None
        return fixture

    def _hand_over(self, event: QMouseEvent, x: float, y: float) -> None:
        """Let the camera have a drag that the tool no longer wants."""
        self._taker = None
        self._navigation.press(x, y, self._held or Qt.MouseButton.LeftButton, event.modifiers())
        self.held_changed.emit(True)

    def _hover(self, event: QMouseEvent, x: float, y: float) -> None:
        flag = self._flags.at(x, y, self._view.lens)
        if flag != self._flags.hovered:
            self.flag_hovered.emit(flag)
        if flag >= 0:
            return
        told = self._told(event)
        over = self._fixture_at(told) or self._view.tool
        if self._hovered is not None and self._hovered is not over:
            self._hovered.leave()
        self._hovered = over
        if over is not None:
            over.hover(told)

    def _release(self, event: QMouseEvent) -> None:
        event.accept()
        if event.button() != self._held:
            return
        self._held = None
        if self._taker is not None:
            taker, self._taker = self._taker, None
            taker.release(self._told(event))
        elif self._flag >= 0:
            if self._flags.at(event.position().x(), event.position().y(), self._view.lens) == self._flag:
                self.flag_clicked.emit(self._flag)
        else:
            self.held_changed.emit(False)
        self._flag = -1

    def _double_click(self, event: QMouseEvent) -> None:
        event.accept()
        x, y = event.position().x(), event.position().y()
        if event.button() != Qt.MouseButton.LeftButton or self._flags.at(x, y, self._view.lens) >= 0:
            return
        self._again = True
        if self._is_taken(event):
            self._held = event.button()
            return
        self.centred.emit(x, y)

    def _wheel(self, event: QWheelEvent) -> None:
        event.accept()
        notches = event.angleDelta().y() / NOTCH
        if notches:
            self._navigation.wheel(event.position().x(), event.position().y(), notches)

    def _gesture(self, event: QNativeGestureEvent) -> None:
        if event.gestureType() == Qt.NativeGestureType.ZoomNativeGesture:
            self._navigation.pinch(event.position().x(), event.position().y(), 1.0 + event.value())

    def _key(self, event: QKeyEvent) -> bool:
        """Answer a key, or leave it to whoever the view lies in."""
        tool = self._view.tool
        taken = any(each.key(event) for each in (self._view.fixture, tool) if each is not None)
        if not taken and event.key() == Qt.Key.Key_Escape and tool is not None:
            self.escaped.emit()
            taken = True
        if not taken and event.key() == Qt.Key.Key_Home:
            self.fit_asked.emit()
            taken = True
        plain = event.modifiers() & ~(Qt.KeyboardModifier.KeypadModifier | Qt.KeyboardModifier.ShiftModifier)
        if not taken and plain == Qt.KeyboardModifier.NoModifier:
            taken = self._navigation.key(Qt.Key(event.key()))
        event.setAccepted(taken)
        return True

    def _leave(self) -> None:
        if self._flags.hovered >= 0:
            self.flag_hovered.emit(-1)
        if self._held is None:
            for tool in (self._view.fixture, self._view.tool):
                if tool is not None:
                    tool.leave()
            self._hovered = None

    def _told(self, event: QMouseEvent) -> ToolEvent:
        x, y = event.position().x(), event.position().y()
        return ToolEvent(
            x=x,
            y=y,
            pick=lambda: self._view.pick(x, y),
            ray=lambda: self._view.ray(x, y),
            modifiers=event.modifiers(),
            button=event.button(),
            again=self._again,
        )
