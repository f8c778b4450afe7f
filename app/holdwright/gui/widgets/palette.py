"""The scheme's colours for whoever paints: told from the palette, so that they follow it by themselves."""

from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QWidget

from holdwright.gui.widgets import style


def tones(widget: QWidget) -> style.Colours:
    """Give the colours of the scheme a widget is dressed in, told by a role never tinted or dimmed."""
    dark = widget.palette().color(QPalette.ColorGroup.Active, QPalette.ColorRole.ButtonText).lightness() > 128
    return style.colours("dark" if dark else "light")


def set_role(widget: QWidget, role: QPalette.ColorRole, colour: str) -> None:
    """Give a widget's palette another colour in one role, where it does not have it yet."""
    palette = widget.palette()
    if palette.color(role).name() != colour.lower():
        palette.setColor(role, colour)
        widget.setPalette(palette)
