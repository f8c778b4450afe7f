"""The context menu that copies what a widget says."""

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QMenu, QWidget


def offer_copy(parent: QWidget, title: str, text: str, where: QPoint) -> None:
    """Offer, at a place on the screen, to put a text on the clipboard."""
    menu = QMenu(parent)
    menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    menu.addAction(title, lambda: QGuiApplication.clipboard().setText(text))
    menu.popup(where)
