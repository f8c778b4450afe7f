"""The pointer and the keys over the view: flags first, then tools, then the camera."""

from collections.abc import Callable
from typing import Any, Final

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import (
    QContextMenuEvent,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QNativeGestureEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from holdwright.gui.viewport.label_layer import LabelLayer
from holdwright.gui.viewport.markers import Flags
from holdwright.gui.viewport.navigation import Navigation
from holdwright.gui.viewport.projection import Projection
from holdwright.gui.viewport.tool import Tool, ToolEvent

_SILENT: Final = {
    QEvent.Type.KeyRelease,
    QEvent.Type.Enter,
    QEvent.Type.TabletMove,
    QEvent.Type.TabletPress,
    QEvent.Type.TabletRelease,
}
"""Withheld from the drawing widget, which would act on them in its own way."""

_BY_KEY: Final = {
    Qt.FocusReason.TabFocusReason,
    Qt.FocusReason.BacktabFocusReason,
    Qt.FocusReason.ShortcutFocusReason,
}


class EventFilter(QObject):
    """Listens to the drawing widget.

    Attributes
    ----------
    tool
        What the user works with; None for the camera alone.
    fixture
        A tool that stays whatever else is in use, and can be grasped before it; None at first.
    """

    flag_clicked = Signal(int)
    """The number of a flag."""
    pointed = Signal(float, float)
    """The pointer moves over the view, no button held: x, y; beyond it, once it has left."""
    dismissed = Signal()
    """A place beside all flags was clicked, or Escape pressed."""
    menu_requested = Signal(float, float)
    """A place was clicked with the right button, or the middle meant by the menu key: x, y."""
    centred = Signal(float, float)
    """A place was double-clicked: x, y."""
    held_changed = Signal(bool)
    """Whether a button is held down for the camera."""
    escaped = Signal()
    """Escape was pressed, and the tool did not take it."""
    fit_requested = Signal()
    """Home was pressed."""

    def __init__(
        self,
        projection: Projection,
        navigation: Navigation,
        flags: Flags,
        labels: LabelLayer,
        widget: QWidget,
    ) -> None:
        super().__init__(widget)
        self.tool: Tool[Any] | None = None
        self.fixture: Tool[Any] | None = None
        self._projection = projection
        self._navigation = navigation
        self._flags = flags
        self._labels = labels
        self._widget = widget
        self._held: Qt.MouseButton | None = None
        self._taker: Tool[Any] | None = None
        self._again = False
        self._hovered: Tool[Any] | None = None
        self._flag = -1
        self._pressed = (0.0, 0.0)
        kinds = QEvent.Type
        self._handlers: dict[QEvent.Type, Callable[[Any], None]] = {
            kinds.MouseMove: self._move,
            kinds.MouseButtonPress: self._press,
            kinds.MouseButtonRelease: self._release,
            kinds.MouseButtonDblClick: self._double_click,
            kinds.ContextMenu: self._menu,
            kinds.Wheel: self._wheel,
            kinds.NativeGesture: self._gesture,
            kinds.KeyPress: self._key,
            kinds.FocusIn: self._focus,
            kinds.FocusOut: self._focus,
            kinds.Leave: lambda _event: self._leave(),
        }
        widget.installEventFilter(self)

    def stop(self) -> None:
        """Listen no more."""
        self._widget.removeEventFilter(self)

    def set_tool(self, tool: Tool[Any] | None) -> None:
        """Let another tool be worked with; a drag of the one before is forgotten."""
        if self._taker is self.tool:
            self._taker = None
        self.tool, self._hovered = tool, None

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:  # noqa: N802
        """Answer what concerns the view, and let pass what concerns its being drawn."""
        kind = event.type()
        if kind in self._handlers:
            event.accept()
            self._handlers[kind](event)
        is_focus = kind in (QEvent.Type.FocusIn, QEvent.Type.FocusOut)
        return not is_focus and (kind in self._handlers or kind in _SILENT)

    def _press(self, event: QMouseEvent) -> None:
        self._widget.setFocus(Qt.FocusReason.MouseFocusReason)
        if self._held is not None:
            return
        x, y, button = event.position().x(), event.position().y(), event.button()
        self._held, self._again, self._pressed = button, False, (x, y)
        if button == Qt.MouseButton.LeftButton:
            self._flag = self._flags.at(x, y, self._projection.lens)
            if self._flag >= 0 or self._is_taken(event):
                return
        self._navigation.press(x, y, button, event.modifiers())
        self.held_changed.emit(True)

    def _move(self, event: QMouseEvent) -> None:
        x, y = event.position().x(), event.position().y()
        if self._held is None:
            self._hover(event, x, y)
        elif self._taker is not None:
            if not self._taker.move(self._tool_event(event)):
                self._hand_over(event, x, y)
        elif self._flag < 0:
            self._navigation.move(x, y)

    def _is_taken(self, event: QMouseEvent) -> bool:
        """Offer a press to the tools, and tell whether one of them took it."""
        at = self._tool_event(event)
        first = self._fixture_at(at) or self.tool
        self._taker = first if first is not None and first.press(at) else None
        return self._taker is not None

    def _fixture_at(self, at: ToolEvent) -> Tool[Any] | None:
        """Give the fixture where it can be grasped: before clicks of the tool in use, after its handles."""
        fixture, tool = self.fixture, self.tool
        if fixture is None or not fixture.reaches(at) or (tool is not None and tool.reaches(at)):
            return None
        return fixture

    def _hand_over(self, event: QMouseEvent, x: float, y: float) -> None:
        """Let the camera have a drag that the tool gives up."""
        self._taker = None
        self._navigation.press(x, y, self._held or Qt.MouseButton.LeftButton, event.modifiers())
        self.held_changed.emit(True)

    def _hover(self, event: QMouseEvent, x: float, y: float) -> None:
        self._hover_flag(self._flags.at(x, y, self._projection.lens))
        self.pointed.emit(x, y)
        if self._flags.hovered >= 0:
            return
        at = self._tool_event(event)
        over = self._fixture_at(at) or self.tool
        if self._hovered is not None and self._hovered is not over:
            self._hovered.leave()
        self._hovered = over
        if over is not None:
            over.hover(at)

    def _release(self, event: QMouseEvent) -> None:
        if event.button() != self._held:
            return
        self._held = None
        clicked = self._tool_event(event).is_click(*self._pressed)
        right = event.button() == Qt.MouseButton.RightButton
        if self._flag < 0 and clicked and not right:
            self.dismissed.emit()
        if self._taker is not None:
            taker, self._taker = self._taker, None
            taker.release(self._tool_event(event))
        elif self._flag >= 0:
            x, y = event.position().x(), event.position().y()
            if self._flags.at(x, y, self._projection.lens) == self._flag:
                self.flag_clicked.emit(self._flag)
        else:
            self.held_changed.emit(False)
        self._flag = -1
        if clicked and right:
            self.menu_requested.emit(event.position().x(), event.position().y())

    def _double_click(self, event: QMouseEvent) -> None:
        x, y = event.position().x(), event.position().y()
        if event.button() != Qt.MouseButton.LeftButton or self._flags.at(x, y, self._projection.lens) >= 0:
            return
        self._again = True
        if self._is_taken(event):
            self._held = event.button()
            return
        self.centred.emit(x, y)

    def _menu(self, event: QContextMenuEvent) -> None:
        """Hear the menu key; the right button, which pans the view, is heard when it is let go."""
        if event.reason() == QContextMenuEvent.Reason.Keyboard:
            middle = self._widget.rect().center()
            self.menu_requested.emit(middle.x(), middle.y())

    def _wheel(self, event: QWheelEvent) -> None:
        notches = event.angleDelta().y() / 120.0
        if notches:
            self._navigation.wheel(event.position().x(), event.position().y(), notches)

    def _gesture(self, event: QNativeGestureEvent) -> None:
        if event.gestureType() == Qt.NativeGestureType.ZoomNativeGesture:
            self._navigation.pinch(event.position().x(), event.position().y(), 1.0 + event.value())

    def _hover_flag(self, flag: int) -> None:
        if flag != self._flags.hovered:
            self._flags.hovered = flag
            self._labels.update()

    def _focus(self, event: QFocusEvent) -> None:
        """Show that the view listens to the keys where it came to by a key: people need to see that."""
        self._labels.show_focus(event.gotFocus() and event.reason() in _BY_KEY)

    def _key(self, event: QKeyEvent) -> None:
        """Answer a key, or leave it to whoever the view lies in."""
        if event.key() == Qt.Key.Key_Escape:
            self.dismissed.emit()
        tool = self.tool
        taken = any(each.key(event) for each in (self.fixture, tool) if each is not None)
        if not taken and event.key() == Qt.Key.Key_Escape and tool is not None:
            self.escaped.emit()
            taken = True
        if not taken and event.key() == Qt.Key.Key_Home:
            self.fit_requested.emit()
            taken = True
        plain = event.modifiers() & ~(Qt.KeyboardModifier.KeypadModifier | Qt.KeyboardModifier.ShiftModifier)
        if not taken and plain == Qt.KeyboardModifier.NoModifier:
            taken = self._navigation.key(Qt.Key(event.key()))
        event.setAccepted(taken)

    def _leave(self) -> None:
        self._hover_flag(-1)
        self.pointed.emit(-1.0, -1.0)
        if self._held is None:
            for tool in (self.fixture, self.tool):
                if tool is not None:
                    tool.leave()
            self._hovered = None

    def _tool_event(self, event: QMouseEvent) -> ToolEvent:
        x, y = event.position().x(), event.position().y()
        return ToolEvent(
            x=x,
            y=y,
            pick=lambda: self._projection.pick(x, y),
            ray=lambda: self._projection.lens.ray(x, y),
            modifiers=event.modifiers(),
            button=event.button(),
            again=self._again,
        )
