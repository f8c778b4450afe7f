"""The pane the scene is drawn on: one frame for each change, none while nothing changes."""

import time
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QTimer
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import QWidget
from pyvistaqt import QtInteractor
from vtkmodules.vtkRenderingCore import vtkLight, vtkRenderer

SAMPLES = 4


class RenderWidget:
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
        self._open = True
        self._widget: Any = QtInteractor(parent, auto_update=False, multi_samples=0, lighting="none")
        self._widget.setAcceptDrops(False)
        # The camera is ours; an access of the library's must not refit it.
        self._widget.camera.is_set = True
        # Ghosts and shadows need no sorting among themselves, which would double the time of a frame.
        self._widget.renderer.SetUseOIT(False)
        light = vtkLight()
        light.SetLightTypeToHeadlight()
        self._widget.renderer.AddLight(light)
        window: Any = self._widget.ren_win
        self._window = window
        self._observers = [
            window.AddObserver("StartEvent", self._start),
            window.AddObserver("EndEvent", self._end),
        ]

    @property
    def widget(self) -> QWidget:
        """The widget to lay out and to listen to."""
        widget: QWidget = self._widget
        return widget

    @property
    def renderer(self) -> vtkRenderer:
        """Takes the actors."""
        renderer: vtkRenderer = self._widget.renderer
        return renderer

    @property
    def pixel(self) -> float:
        """Device pixels to a device-independent one."""
        return float(self._widget.devicePixelRatioF())

    @property
    def is_open(self) -> bool:
        """Whether frames can still be drawn."""
        return self._open

    def redraw(self) -> None:
        """Have a frame drawn when the window is next painted."""
        if self._open:
            self._widget.update()

    def smooth(self, *, edges: bool, samples: bool) -> None:
        """Choose how the frame's edges are smoothed: in the finished picture, and by several samples."""
        self.renderer.SetUseFXAA(edges)
        wanted = SAMPLES if samples else 0
        if self._window.GetMultiSamples() != wanted:
            self._window.SetMultiSamples(wanted)

    def picture(self) -> QPixmap:
        """Give what is drawn as it stands."""
        return QPixmap.fromImage(self._widget.grabFramebuffer())

    def close(self) -> None:
        """Give the graphics memory back, while the window still lives; of no use afterwards."""
        if not self._open:
            return
        self._open = False
        for observer in self._observers:
            self._window.RemoveObserver(observer)
        self._window = None
        self._widget.close()

    def _start(self, _window: object, _event: str) -> None:
        self._prepare()
        self._began = time.perf_counter()

    def _end(self, _window: object, _event: str) -> None:
        # Drawing goes on beside us until the picture is handed over, by the next turn of events.
        QTimer.singleShot(0, self._measure)

    def _measure(self) -> None:
        if self._open and self._began:
            self._took(time.perf_counter() - self._began)
            self._began = 0.0
