"""The window's look, decided once: paper and ink, one accent, one rhythm of spaces, two sizes of type."""

from dataclasses import dataclass
from typing import Final, Literal

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QFontDatabase, QPalette
from PySide6.QtWidgets import QApplication

Scheme = Literal["light", "dark"]

GRID: Final = 4
"""Pixels: every distance is a multiple of it."""

GAP: Final = 2 * GRID
"""The usual distance between neighbours."""

MARGIN: Final = 4 * GRID
"""From the edge of a surface to what lies on it."""

ROW: Final = 9 * GRID
"""Least height of anything to be clicked."""

SIDEBAR_WIDTH: Final = 340

FADE_MS: Final = 120


@dataclass(frozen=True)
class Colours:
    """The colours of one scheme. Text on `paper` has at least 4.5 : 1, marks 3 : 1 (WCAG 2.2 AA).

    Attributes
    ----------
    paper, raised, sunken
        Ground of the window; of what is written on (fields); of what lies behind (the chosen step).
    ink, faint
        Text, and text that may be passed over.
    hairline
        Lines that part things.
    accent, on_accent
        The one accent, for the chosen step, handles and the primary button only; text on it.
    shell, core
        The two parts of a hold.
    note, warning, error
        Tints behind a finding's words.
    sky, floor
        The viewport's ground, from top to bottom.
    """

    paper: str
    raised: str
    sunken: str
    ink: str
    faint: str
    hairline: str
    accent: str
    on_accent: str
    shell: str
    core: str
    note: str
    warning: str
    error: str
    sky: str
    floor: str


LIGHT: Final = Colours(
    paper="#F7F4EE",
    raised="#FFFDF9",
    sunken="#EFEAE0",
    ink="#20262A",
    faint="#62686D",
    hairline="#DDD7CB",
    accent="#7A2E4D",
    on_accent="#FFFDF9",
    shell="#8F754C",
    core="#1F6B75",
    note="#E8EAE6",
    warning="#F3E3C4",
    error="#F0D5D0",
    sky="#FCFBF8",
    floor="#ECE7DD",
)

DARK: Final = Colours(
    paper="#1F2426",
    raised="#272D30",
    sunken="#191D1F",
    ink="#ECE9E2",
    faint="#A3A8A9",
    hairline="#3B4246",
    accent="#E3B3C6",
    on_accent="#1F2426",
    shell="#D6C4A1",
    core="#4FA3AD",
    note="#2B3335",
    warning="#453A24",
    error="#4A2C2A",
    sky="#2A3033",
    floor="#1B1F21",
)


def colours(scheme: Scheme) -> Colours:
    """Give the colours of a scheme."""
    return LIGHT if scheme == "light" else DARK


def system_scheme(application: QApplication) -> Scheme:
    """Give the scheme the desktop asks for; light where it says nothing."""
    dark = application.styleHints().colorScheme() == Qt.ColorScheme.Dark
    return "dark" if dark else "light"


def text_font() -> QFont:
    """Give the system's interface face, its figures all of one width where the face has such."""
    font = QFontDatabase.systemFont(QFontDatabase.SystemFont.GeneralFont)
    if font.pointSizeF() < 10:
        font.setPointSizeF(10)
    font.setFeature(QFont.Tag("tnum"), 1)
    return font


def title_font() -> QFont:
    """Give the one larger size, for the hold's name and the empty window's sentence."""
    font = text_font()
    font.setPointSizeF(font.pointSizeF() * 1.5)
    return font


def mixed(first: str, second: str, share: float) -> str:
    """Mix two colours: `share` (0 to 1) of the second."""
    one, other = QColor(first), QColor(second)
    parts = [
        round(a + (b - a) * share)
        for a, b in zip(one.getRgb()[:3], other.getRgb()[:3], strict=True)  # type: ignore[index]
    ]
    return QColor(*parts).name()


def palette(scheme: Scheme) -> QPalette:
    """Give Qt's palette for a scheme."""
    tone = colours(scheme)
    made = QPalette()
    roles = {
        QPalette.ColorRole.Window: tone.paper,
        QPalette.ColorRole.WindowText: tone.ink,
        QPalette.ColorRole.Base: tone.raised,
        QPalette.ColorRole.AlternateBase: tone.sunken,
        QPalette.ColorRole.Text: tone.ink,
        QPalette.ColorRole.Button: tone.paper,
        QPalette.ColorRole.ButtonText: tone.ink,
        QPalette.ColorRole.BrightText: tone.on_accent,
        QPalette.ColorRole.ToolTipBase: tone.raised,
        QPalette.ColorRole.ToolTipText: tone.ink,
        QPalette.ColorRole.PlaceholderText: tone.faint,
        QPalette.ColorRole.Highlight: tone.accent,
        QPalette.ColorRole.HighlightedText: tone.on_accent,
        QPalette.ColorRole.Accent: tone.accent,
        QPalette.ColorRole.Link: tone.accent,
        QPalette.ColorRole.Mid: tone.hairline,
        QPalette.ColorRole.Midlight: mixed(tone.hairline, tone.paper, 0.5),
        QPalette.ColorRole.Light: tone.raised,
        QPalette.ColorRole.Dark: mixed(tone.hairline, tone.ink, 0.25),
        QPalette.ColorRole.Shadow: mixed(tone.hairline, tone.ink, 0.5),
    }
    for role, colour in roles.items():
        made.setColor(role, QColor(colour))
    for role in (QPalette.ColorRole.WindowText, QPalette.ColorRole.Text, QPalette.ColorRole.ButtonText):
        made.setColor(QPalette.ColorGroup.Disabled, role, QColor(mixed(tone.ink, tone.paper, 0.55)))
    return made


def apply(application: QApplication, scheme: Scheme) -> None:
    """Dress the whole application in a scheme.

    Fusion draws every control from the palette, so that no style sheet is needed for them and none of its
    artefacts (lost arrows, clipped text) can appear.
    """
    application.setStyle("Fusion")
    application.setPalette(palette(scheme))
    application.setFont(text_font())
