"""What the scene is drawn on: one frame for each change; or a sentence where none can be drawn."""

import time
from collections.abc import Callable
from typing import Any, Final

from PySide6.QtCore import QMessageLogContext, Qt, QTimer, QtMsgType, qInstallMessageHandler
from PySide6.QtGui import QOpenGLContext, QPixmap
from PySide6.QtWidgets import QLabel, QWidget
from vtkmodules.vtkRenderingCore import vtkLight, vtkRenderer

from holdwright.gui.viewport.render_widget import QVTKRenderWindowInteractor
from holdwright.gui.widgets import style

NEEDED: Final = (3, 2)
"""Version of OpenGL that the drawing library asks for; below it the process would end."""

SENTENCE: Final = (
    "The hold cannot be drawn here: this screen has no OpenGL {0}.{1}.\n\n"
    "Steps, figures, findings and export still work. To see the hold, update the graphics driver, or "
    "run Holdwright on the machine itself rather than over the network."
)


def can_draw() -> bool:
    """Tell whether this machine can draw in three dimensions on this screen."""
    before = qInstallMessageHandler(_silent)
    try:
        context = QOpenGLContext()
        made = context.create()
        version = context.format().version() if made else (0, 0)
    finally:
        qInstallMessageHandler(before)
    return made and tuple(version) >= NEEDED


class Pane:
    """A sentence in place of the scene; takes what is to be drawn, and draws none of it."""

    widget: QWidget
    """To lay out and to listen to."""
    renderer: vtkRenderer
    """Takes the actors."""
    is_open = True
    """Whether frames can still be drawn."""

    def __init__(self, parent: QWidget) -> None:
        label = QLabel(SENTENCE.format(*NEEDED), parent)
        label.setWordWrap(True)
        label.setAlignment(Qt.AlignmentFlag.AlignCenter)
        label.setMargin(8 * style.MARGIN)
        label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.widget, self.renderer = label, vtkRenderer()

    @property
    def pixel(self) -> float:
        """Device pixels to a device-independent one."""
        return float(self.widget.devicePixelRatioF())

    def redraw(self) -> None:
        """Have a frame drawn when the window is next painted."""

    def smooth(self, *, edges: bool, samples: bool) -> None:
        """Choose how the frame's edges are smoothed: in the finished picture, and by several samples."""

    def picture(self) -> QPixmap:
        """Give what is drawn as it stands."""
        return QPixmap()

    def close(self) -> None:
        """Give the graphics memory back, while the window still lives; of no use afterwards."""
        self.is_open = False
        self.renderer.RemoveAllViewProps()


class RenderPane(Pane):
    """Wraps the drawing widget; its own ways with mouse, keys, drops and timers are switched off.

    Parameters
    ----------
    prepare
        Called before each frame, to make the scene ready.
    took
        Called after each frame with the seconds it took.
    """

    def __init__(self, prepare: Callable[[], None], took: Callable[[float], None], parent: QWidget) -> None:
        self._prepare = prepare
        self._took = took
        self._began = 0.0
        widget: Any = QVTKRenderWindowInteractor(parent)  # type: ignore[no-untyped-call]
        self._window: Any = widget.GetRenderWindow()
        self._window.SetMultiSamples(0)
        renderer = vtkRenderer()
        # Ghosts and shadows need no sorting among themselves, which would double the time of a frame.
        renderer.SetUseOIT(False)
        light = vtkLight()
        light.SetLightTypeToHeadlight()
        renderer.AddLight(light)
        self._window.AddRenderer(renderer)
        self._window.GetInteractor().Initialize()
        self.widget, self.renderer = widget, renderer
        self._observers = [
            self._window.AddObserver("StartEvent", self._start),
            self._window.AddObserver("EndEvent", self._end),
        ]

    def redraw(self) -> None:
        """Have a frame drawn when the window is next painted."""
        if self.is_open:
            self.widget.update()

    def smooth(self, *, edges: bool, samples: bool) -> None:
        """Choose how the frame's edges are smoothed: in the finished picture, and by several samples."""
        self.renderer.SetUseFXAA(edges)
        required = 4 if samples else 0
        if self._window.GetMultiSamples() != required:
            self._window.SetMultiSamples(required)

    def picture(self) -> QPixmap:
        """Give what is drawn as it stands."""
        return QPixmap.fromImage(self.widget.grabFramebuffer())  # type: ignore[attr-defined]

    def close(self) -> None:
        """Give the graphics memory back, while the window still lives; of no use afterwards."""
        self.is_open = False
        for observer in self._observers:
            self._window.RemoveObserver(observer)
        self._window = None
        self.widget.close()

    def _start(self, _window: object, _event: str) -> None:
        self._prepare()
        self._began = time.perf_counter()

    def _end(self, _window: object, _event: str) -> None:
        # Drawing goes on beside us until the picture is handed over, by the next turn of events.
        QTimer.singleShot(0, self._measure)

    def _measure(self) -> None:
        if self.is_open and self._began:
            self._took(time.perf_counter() - self._began)
            self._began = 0.0


def _silent(_kind: QtMsgType, _where: QMessageLogContext, _text: str) -> None:
    """Withhold what Qt says of a try that fails: we say it in a sentence."""
