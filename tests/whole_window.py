"""The whole window in a test: opened, dropped on, clicked, dragged over, and closed again."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QMimeData, QPoint, QPointF, QSettings, Qt, QTimer, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from holdwright.gui.application import build_window
from holdwright.gui.document import hold_work, questions
from holdwright.gui.main_window import MainWindow
from holdwright.gui.viewport.pane import RenderPane
from holdwright.gui.widgets.question import Question

WAIT = 90_000
"""Milliseconds a loaded machine may take for one replay."""

SMALL = (960, 640)
"""The least size a window can be worked in, pixels."""

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def window(open_window) -> MainWindow:
    """A window on nothing yet."""
    return open_window()


@pytest.fixture
def open_window(
    qtbot, qapp, settings, data_folder, print_rest, monkeypatch
) -> Iterator[Callable[..., MainWindow]]:
    """Opens windows, all with the same settings and folder; their changes are left unsaved at the end."""
    opened: list[MainWindow] = []

    def build(size: tuple[int, int] | None = SMALL) -> MainWindow:
        made = quick_window(monkeypatch, settings, data_folder, print_rest, size)
        with qtbot.waitExposed(made):
            made.show()
        made.activateWindow()
        opened.append(made)
        return made

    yield build
    monkeypatch.setattr(questions, "unsaved", lambda *_about: 1)
    for made in opened:
        made.close()
        made.deleteLater()


def quick_window(
    patch: pytest.MonkeyPatch,
    settings: QSettings,
    folder: Path,
    print_rest: int,
    size: tuple[int, int] | None = SMALL,
) -> MainWindow:
    """Build a window that is small and draws roughly: by a processor, that takes most of a test's time."""
    patch.setattr(hold_work, "REST_MS", print_rest)
    patch.setattr(RenderPane, "smooth", lambda *_pane, **_edges: None)
    made = build_window(settings, folder, "light")
    made.viewport.animated = False
    if size is not None:
        made.resize(*size)
    return made


def drop(window: MainWindow, *paths: Path) -> None:
    """Drop files on the middle of a window, by the way a desktop does it."""
    content = QMimeData()
    content.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    handle = window.windowHandle()
    middle = QPointF(window.rect().center())
    actions, no_keys = Qt.DropAction.CopyAction, Qt.KeyboardModifier.NoModifier
    entering = QDragEnterEvent(middle.toPoint(), actions, content, LEFT, no_keys)
    QApplication.sendEvent(handle, entering)
    assert entering.isAccepted(), "the window does not take what hangs over it"
    QApplication.sendEvent(handle, QDropEvent(middle, actions, content, LEFT, no_keys))


def settled(qtbot, window: MainWindow) -> None:
    """Wait until all asked for is made and shown."""
    qtbot.waitUntil(lambda: not window.document.busy, timeout=WAIT)
    QApplication.processEvents()


def opened_on(qtbot, window: MainWindow, *paths: Path) -> None:
    """Drop files, and wait until all is made of them."""
    with qtbot.waitSignal(window.document.busy_changed, timeout=WAIT, check_params_cb=lambda busy: not busy):
        drop(window, *paths)
    QApplication.processEvents()


def taken_up(qtbot, window: MainWindow, *paths: Path) -> None:
    """Give a window that tests share the keyboard, and open these files in it where nothing is open yet."""
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    if window.document.session is None:
        opened_on(qtbot, window, *paths)


def left_as_met(qtbot, window: MainWindow) -> None:
    """Undo what a test did to a window that others use too, as far as the document and its switches go."""
    document = window.document
    while document.undo_text:
        document.edits.undo()
    for name in ("section", "measure", "heat"):
        window.actions_table[name].setChecked(False)
    window.show_left(window.sidebar)
    document.edits.select("")
    settled(qtbot, window)


def choose_step(qtbot, window: MainWindow, step_id: str) -> None:
    """Click a step's row on the route card, unless its form is open."""
    if window.document.selected != step_id:
        qtbot.mouseClick(window.sidebar.card.entries[step_id].line, LEFT)
    assert window.document.selected == step_id


def typed(qtbot, window: MainWindow, step_id: str, field: str, text: str) -> None:
    """Type into a field of the chosen step's form."""
    form = window.sidebar.card.entries[step_id].form
    box = form.fields[field].editor.keyboard_widget()
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, text)
    qtbot.keyClick(box, Qt.Key.Key_Return)


def grip_pixel(window: MainWindow, name: str) -> QPoint:
    """Give where a grip of the tool in hand is seen, in the view's pixels."""
    return pixel(window, _place(window, name))


def along(window: MainWindow, name: str, way: tuple[float, float, float]) -> tuple[int, int]:
    """Give the pixels a grip has to be dragged by to go some millimetres."""
    place = _place(window, name)
    offset = pixel(window, place + np.array(way)) - pixel(window, place)
    return offset.x(), offset.y()


def pixel(window: MainWindow, place) -> QPoint:
    """Give the view's pixel at which a place is seen."""
    x, y, _ = window.viewport.lens.project(place)[0]
    return QPoint(round(x), round(y))


def drag(window: MainWindow, start: QPoint, by: tuple[int, int], steps: int = 4) -> None:
    """Press, move and let go in the view, as a hand does."""
    glass = pane(window)
    _move(glass, start, pressed=False)
    QTest.mousePress(glass, LEFT, Qt.KeyboardModifier.NoModifier, start)
    for number in range(1, steps + 1):
        at = start + QPoint(round(by[0] * number / steps), round(by[1] * number / steps))
        _move(glass, at, pressed=True)
    QTest.mouseRelease(glass, LEFT, Qt.KeyboardModifier.NoModifier, start + QPoint(*by))


def click(window: MainWindow, place: QPoint) -> None:
    """Click in the view."""
    drag(window, place, (0, 0), steps=1)


def pane(window: MainWindow) -> QWidget:
    """Give the widget of the view that the pointer meets."""
    met = window.viewport.childAt(window.viewport.rect().center())
    assert met is not None
    return met


@contextmanager
def answering(*buttons: str) -> Iterator[list[str]]:
    """Click these buttons of the next questions as they are asked; gives what was asked."""
    asked: list[str] = []
    wanted = list(buttons)
    timer = QTimer()
    timer.setInterval(20)

    def look() -> None:
        box = QApplication.activeModalWidget()
        if wanted and isinstance(box, Question) and box.isVisible():
            asked.append(box.sentence)
            button = wanted.pop(0)
            QTest.mouseClick(next(each for each in box.buttons if each.text() == button), LEFT)

    timer.timeout.connect(look)
    timer.start()
    yield asked
    timer.stop()


def _place(window: MainWindow, name: str) -> np.ndarray:
    grip = next(each for each in window.viewport.tool.handles.grips() if each.name == name)
    points = np.asarray(grip.points).reshape(-1, 3)
    return points[len(points) // 2]


def _move(glass: QWidget, at: QPoint, *, pressed: bool) -> None:
    held = LEFT if pressed else Qt.MouseButton.NoButton
    place = QPointF(at)
    event = QMouseEvent(
        QEvent.Type.MouseMove,
        place,
        QPointF(glass.mapToGlobal(at)),
        Qt.MouseButton.NoButton,
        held,
        Qt.KeyboardModifier.NoModifier,
    )
    QApplication.sendEvent(glass, event)
