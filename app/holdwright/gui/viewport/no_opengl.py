"""In place of the drawn scene where a machine cannot draw it: a sentence; the rest of the window works."""

from typing import Final

from PySide6.QtCore import QMessageLogContext, Qt, QtMsgType, qInstallMessageHandler
from PySide6.QtGui import QOpenGLContext, QPixmap
from PySide6.QtWidgets import QLabel, QWidget
from vtkmodules.vtkRenderingCore import vtkRenderer

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
    before = qInstallMessageHandler(_unheard)
    try:
        context = QOpenGLContext()
        made = context.create()
        version = context.format().version() if made else (0, 0)
    finally:
        qInstallMessageHandler(before)
    return made and tuple(version) >= NEEDED


class NoOpenGL:
    """Stands where `Glass` does, takes what is to be drawn, and draws none of it."""

    def __init__(self, parent: QWidget) -> None:
        self._label = QLabel(SENTENCE.format(*NEEDED), parent)
        self._label.setWordWrap(True)
        self._label.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._label.setMargin(8 * style.MARGIN)
        self._label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._renderer = vtkRenderer()
        self._open = True

    @property
    def widget(self) -> QWidget:
        """The sentence."""
        return self._label

    @property
    def renderer(self) -> vtkRenderer:
        """Takes the actors."""
        return self._renderer

    @property
    def pixel(self) -> float:
        """Device pixels to a device-independent one."""
        return float(self._label.devicePixelRatioF())

    @property
    def is_open(self) -> bool:
        """Whether frames could still be drawn."""
        return self._open

    def redraw(self) -> None:
        """Draw nothing."""

    def smooth(self, *, edges: bool, samples: bool) -> None:
        """Smooth nothing."""

    def picture(self) -> QPixmap:
        """Give no picture."""
        return QPixmap()

    def close(self) -> None:
        """Let the actors go."""
        self._open = False
        self._renderer.RemoveAllViewProps()


def _unheard(_kind: QtMsgType, _where: QMessageLogContext, _text: str) -> None:
    """Keep to ourselves what Qt says of a try that fails: we say it in a sentence."""
