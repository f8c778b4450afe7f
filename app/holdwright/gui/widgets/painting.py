"""What painted widgets share: the scheme's colours, following scheme and font, icons, ticks and knobs."""

from functools import lru_cache
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QByteArray, QEvent, QObject, QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPalette, QPen
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QScrollBar, QSizePolicy, QSlider, QStyle, QStyleOptionSlider, QWidget

from holdwright.gui.widgets import style
from holdwright.resources import resource_folder

if TYPE_CHECKING:
    _Base = QWidget
else:
    _Base = object

ICON_SIZE: Final = 16
"""Least side of an icon on screen, pixels."""

TICK: Final = 14
"""Side of a box to be ticked, pixels."""

PARTS: Final = ("shell", "core")
"""Parts of the hold that have a colour of their own."""

WRAP: Final = Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
LEFT: Final = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
RIGHT: Final = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight


def tones(widget: QWidget) -> style.Colours:
    """Give the colours of a widget's scheme, read off a role of its palette never tinted or dimmed."""
    dark = widget.palette().color(QPalette.ColorGroup.Active, QPalette.ColorRole.ButtonText).lightness() > 128
    return style.colours("dark" if dark else "light")


def set_role(widget: QWidget, role: QPalette.ColorRole, colour: str) -> None:
    """Give a widget's palette another colour in one role, where it does not have it yet."""
    palette = widget.palette()
    if palette.color(role).name() != colour.lower():
        palette.setColor(role, colour)
        widget.setPalette(palette)


class Restyled(_Base):
    """Mixin, to stand before the Qt class: takes another scheme's colours and another font."""

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Follow palette and font."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self.restyle()
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange):
            self.updateGeometry()
            self.update()

    def restyle(self) -> None:
        """Set the colours of what lies in the widget; what it paints itself is painted anew anyway."""


class Painted(Restyled):
    """Mixin for a widget that paints itself from the scheme's colours, in `paint`.

    Attributes
    ----------
    smooth
        Whether edges are antialiased.
    """

    smooth = False

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Paint in the scheme's colours."""
        del event
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, self.smooth)
        self.paint(painter, tones(self))
        painter.end()

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Paint the widget; blank where a class has nothing of its own."""


class WrappedLine(Painted):
    """Mixin for a line of a list whose words wrap: as wide as its list, as high as they need.

    A class of it says in `heightForWidth` how high that is.
    """

    def set_up(self) -> None:
        """Let the height follow the width; called once by the constructor."""
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the usual size."""
        return QSize(style.SIDEBAR_WIDTH, self.heightForWidth(style.SIDEBAR_WIDTH))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Give the height of a row."""
        return QSize(20 * style.GRID, style.ROW)

    def wrapped(self, text: str, left: int, top: int, width: int) -> QRect:
        """Give where words stand that wrap within a width from a corner."""
        rect = self.fontMetrics().boundingRect(QRect(left, top, width, 10_000), WRAP, text)
        rect.setWidth(width)
        return rect


class OverParent(_Base):
    """Mixin for a widget that lies over its parent, hidden at first, and follows its size."""

    def lie_over(self, parent: QWidget) -> None:
        """Follow a parent from now on; called once by the constructor."""
        parent.installEventFilter(self)
        self.hide()

    def place_in(self, parent: QWidget) -> None:
        """Take a place within the parent: all of it where a class has no other."""
        self.setGeometry(parent.rect())

    def come(self) -> None:
        """Lie over the parent."""
        parent = self.parentWidget()
        if parent is not None:
            self.place_in(parent)
        self.show()
        self.raise_()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
        """Follow the parent's size."""
        if event.type() == QEvent.Type.Resize and isinstance(watched, QWidget):
            self.place_in(watched)
        return super().eventFilter(watched, event)


class Paper(Painted, QWidget):
    """A widget on the colour of paper.

    Attributes
    ----------
    edge
        "top" or "bottom" for a hairline along that edge; blank for none.
    """

    edge = ""

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the paper and its hairline."""
        painter.fillRect(self.rect(), QColor(tone.paper))
        if self.edge:
            y = 0 if self.edge == "top" else self.height() - 1
            painter.fillRect(0, y, self.width(), 1, QColor(tone.hairline))


class Rule(Painted, QWidget):
    """A line across, one pixel thick."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give the line's thickness."""
        return QSize(0, 1)

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the line."""
        painter.fillRect(self.rect(), QColor(tone.hairline))


class ResizeRule(Rule):
    """A rule that is dragged, or moved by the arrow keys, to give what is beneath it another height.

    Signals
    -------
    moved
        By so many pixels up.
    """

    moved = Signal(int)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setToolTip("Drag to change the height")
        self.setCursor(Qt.CursorShape.SizeVerCursor)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self._grasped = 0.0

    def sizeHint(self) -> QSize:  # noqa: N802
        """Give enough to take hold of."""
        return QSize(0, 2 * style.GRID)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Take hold."""
        self._grasped = event.position().y()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Follow a drag."""
        if event.buttons() & Qt.MouseButton.LeftButton:
            self.moved.emit(round(self._grasped - event.position().y()))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Move a row up or down."""
        by = {Qt.Key.Key_Up: style.ROW, Qt.Key.Key_Down: -style.ROW}.get(Qt.Key(event.key()))
        super().keyPressEvent(event) if by is None else self.moved.emit(by)

    def paint(self, painter: QPainter, tone: style.Colours) -> None:
        """Draw the line, in ink where it can be taken."""
        hot = self.isEnabled() and (self.underMouse() or self.hasFocus())
        painter.fillRect(0, 0, self.width(), 2 if hot else 1, QColor(tone.ink if hot else tone.hairline))


def knob_of(bar: QSlider | QScrollBar, control: QStyle.ComplexControl, part: QStyle.SubControl) -> QRect:
    """Give where the style puts the knob of a slider or scroll bar, pixels within the widget."""
    option = QStyleOptionSlider()
    bar.initStyleOption(option)
    return bar.style().subControlRect(control, option, part, bar)


def paint_frame(painter: QPainter, widget: QWidget, inset: int = 0) -> None:
    """Draw the frame, in the painter's pen, round a widget or so many pixels within it."""
    painter.drawRect(widget.rect().adjusted(inset, inset, -1 - inset, -1 - inset))


def paint_tick(painter: QPainter, corner: QPointF, ink: QColor) -> None:
    """Draw the tick of a box with its upper left corner there."""
    round_ends = (Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)
    painter.setPen(QPen(ink, 1.8, *round_ends))
    painter.drawPolyline([corner + QPointF(x, y) for x, y in ((3.2, 6.8), (5.6, 9.4), (10.0, 3.8))])


def paint_icon(painter: QPainter, name: str, colour: str, rect: QRectF) -> None:
    """Draw an icon straight into a rectangle."""
    QSvgRenderer(QByteArray(_drawing(name, QColor(colour).name()))).render(painter, rect)


def paint_mark(painter: QPainter, name: str, colour: str, rect: QRect, side: float) -> None:
    """Draw an icon of a side in the middle of a rectangle."""
    x = rect.x() + (rect.width() - side) / 2
    y = rect.y() + (rect.height() - side) / 2
    paint_icon(painter, name, colour, QRectF(x, y, side, side))


def swatch_side(widget: QWidget) -> int:
    """Give the side of a swatch beside a widget's words."""
    return widget.fontMetrics().ascent() - style.GRID


def paint_swatch(painter: QPainter, widget: QWidget, part: str, left: float, middle: float) -> None:
    """Draw a square of a part's colour beside words; nothing for what has no colour of its own."""
    if part in PARTS:
        side = swatch_side(widget)
        colour = QColor(getattr(tones(widget), part))
        painter.fillRect(QRectF(left, round(middle - side / 2), side, side), colour)


def icon_side(widget: QWidget) -> int:
    """Give the side of an icon beside a widget's words: it grows with the letters."""
    return max(ICON_SIZE, widget.fontMetrics().height() - 1)


@lru_cache(maxsize=128)
def _drawing(name: str, colour: str) -> bytes:
    text = (resource_folder() / "icons" / f"{name}.svg").read_text("utf-8")
    text = text.replace("currentColor", colour).replace('stroke-width="2"', 'stroke-width="1.75"')
    return text.encode()
