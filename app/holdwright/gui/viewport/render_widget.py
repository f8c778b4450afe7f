"""The widget the drawing library draws into, loaded without the plotting program it comes with.

That takes half a second at every start, most of it for charts; of all of it we use this widget alone.
"""

from typing import Final

import PySide6
from PySide6 import QtCore, QtGui, QtOpenGLWidgets, QtWidgets

from holdwright.loading import load_lazily, standing_in

_QT: Final = {
    "qtpy": PySide6,
    "qtpy.QtCore": QtCore,
    "qtpy.QtGui": QtGui,
    "qtpy.QtWidgets": QtWidgets,
    "qtpy.QtOpenGLWidgets": QtOpenGLWidgets,
}
"""What chooses between bindings of Qt has but one to choose from, and makes all of its classes for that."""

load_lazily("pyvista", "pyvistaqt")
with standing_in(_QT):
    from pyvistaqt.rwi import QVTKRenderWindowInteractor

__all__ = ["QVTKRenderWindowInteractor"]
