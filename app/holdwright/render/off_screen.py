"""A drawing surface in memory: OpenGL without a window."""

import ctypes.util

import numpy as np
import vtkmodules.vtkRenderingOpenGL2  # noqa: F401  what draws: registers itself
from numpy.typing import NDArray
from vtkmodules.vtkCommonCore import vtkLogger, vtkUnsignedCharArray
from vtkmodules.vtkRenderingCore import vtkRenderer, vtkRenderWindow

from holdwright.errors import ExportError
from holdwright.render.polydata import array_from

Pixels = NDArray[np.uint8]


def open_off_screen(renderer: vtkRenderer, pixels: tuple[int, int], samples: int = 0) -> vtkRenderWindow:
    """Give something to draw on; its `Finalize` gives the graphics memory back.

    Parameters
    ----------
    pixels
        Width and height.
    samples
        How many each pixel is averaged of; 0 for none.

    Raises
    ------
    ExportError
        When the machine offers no OpenGL at all.
    """
    before = vtkLogger.GetCurrentVerbosityCutoff()
    # The drawing library would write warnings of its own while it looks for a way to draw.
    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)
    try:
        window = vtkRenderWindow()
        _demand_drawing(window.GetClassName())
        window.SetOffScreenRendering(1)
        window.SetMultiSamples(samples)
        window.SetSize(*pixels)
        window.AddRenderer(renderer)
    finally:
        vtkLogger.SetStderrVerbosity(before)
    return window


def drawn(window: vtkRenderWindow) -> Pixels:
    """Draw, and give (height, width, 3) uint8, first row on top."""
    window.Render()
    width, height = window.GetSize()
    buffer = vtkUnsignedCharArray()
    window.GetPixelData(0, 0, width - 1, height - 1, 0, buffer, 0)
    return array_from(buffer).reshape(height, width, 3)[::-1].copy()


def _demand_drawing(window_class: str) -> None:
    """Refuse the last resort of the drawing library where that one is missing too: it would crash."""
    if window_class == "vtkOSOpenGLRenderWindow" and ctypes.util.find_library("OSMesa") is None:
        raise ExportError(
            "A picture was asked for, but this machine has no OpenGL to draw it with; "
            "install libgl1 and libegl1 (or your system's Mesa package) and try again."
        )
