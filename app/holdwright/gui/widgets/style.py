"""The window's look, decided once: paper and ink, one accent, one rhythm of spaces, two sizes of type."""

from dataclasses import dataclass
from typing import Final, Literal

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QFontDatabase, QPalette
from PySide6.QtWidgets import QApplication

from holdwright.render.tones import mixed as mixed

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
    """The colours of one scheme. Text on its ground has at least 4.5 : 1, marks 3 : 1 (WCAG 2.2 AA)."""

    paper: str
    raised: str
    sunken: str
    """paper, raised, sunken: ground of the window; of what is written on (fields); of what lies behind (the
    chosen step)."""
    ink: str
    faint: str
    """ink and faint: text, and text that may be passed over."""
    hairline: str
    """Lines that part things."""
    accent: str
    on_accent: str
    """accent and on_accent: the one accent, for the chosen step, handles and the primary button only; text on
    it."""
    shell: str
    core: str
    """shell and core: the two parts of a hold."""
    note: str
    warning: str
    error: str
    """note, warning, error: tints behind a finding's words."""
    sky: str
    floor: str
    """sky and floor: the viewport's ground, from top to bottom."""

    @property
    def edge(self) -> str:
        """Give the lines by which a field, slider or scroll bar is seen."""
        return mixed(self.hairline, self.ink, 0.5)

    @property
    def quiet(self) -> str:
        """Give what may be passed over on a finding's tint."""
        return mixed(self.faint, self.ink, 0.35)


_TONES: Final = {
    "paper": ("#F7F4EE", "#1F2426"),
    "raised": ("#FFFDF9", "#272D30"),
    "sunken": ("#EFEAE0", "#191D1F"),
    "ink": ("#20262A", "#ECE9E2"),
    "faint": ("#62686D", "#A3A8A9"),
    "hairline": ("#DDD7CB", "#3B4246"),
    "accent": ("#7A2E4D", "#E3B3C6"),
    "on_accent": ("#FFFDF9", "#1F2426"),
    "shell": ("#8F754C", "#D6C4A1"),
    "core": ("#1F6B75", "#4FA3AD"),
    "note": ("#E8EAE6", "#2B3335"),
    "warning": ("#F3E3C4", "#453A24"),
    "error": ("#F0D5D0", "#4A2C2A"),
    "sky": ("#FCFBF8", "#2A3033"),
    "floor": ("#ECE7DD", "#1B1F21"),
}
"""The colours by day and by night."""

LIGHT: Final = Colours(**{name: light for name, (light, _) in _TONES.items()})
DARK: Final = Colours(**{name: dark for name, (_, dark) in _TONES.items()})


def colours(scheme: Scheme) -> Colours:
    """Give the colours of a scheme."""
    return LIGHT if scheme == "light" else DARK


def system_scheme(application: QApplication) -> Scheme:
    """Give the desktop's scheme; light where it has none."""
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


def weighted(font: QFont, *, heavy: bool = True) -> QFont:
    """Give a font heavier, as for headings, or as it usually is."""
    other = QFont(font)
    other.setWeight(QFont.Weight.DemiBold if heavy else QFont.Weight.Normal)
    return other


def palette(scheme: Scheme) -> QPalette:
    """Give Qt's palette for a scheme."""
    tone, dressed, role = colours(scheme), QPalette(), QPalette.ColorRole
    for roles, colour in (
        ((role.Window, role.Button), tone.paper),
        ((role.WindowText, role.Text, role.ButtonText, role.ToolTipText), tone.ink),
        ((role.Base, role.ToolTipBase, role.Light), tone.raised),
        ((role.AlternateBase,), tone.sunken),
        ((role.PlaceholderText,), tone.faint),
        ((role.Highlight, role.Accent, role.Link), tone.accent),
        ((role.BrightText, role.HighlightedText), tone.on_accent),
        ((role.Mid,), tone.hairline),
        ((role.Midlight,), mixed(tone.hairline, tone.paper, 0.5)),
        ((role.Dark,), mixed(tone.hairline, tone.ink, 0.25)),
        ((role.Shadow,), mixed(tone.hairline, tone.ink, 0.5)),
    ):
        for each in roles:
            dressed.setColor(each, QColor(colour))
    for each in (role.WindowText, role.Text, role.ButtonText):
        dressed.setColor(QPalette.ColorGroup.Disabled, each, QColor(mixed(tone.ink, tone.paper, 0.55)))
    return dressed


def apply(application: QApplication, scheme: Scheme) -> None:
    """Dress the whole application in a scheme.

    Fusion draws every control from the palette, so that no style sheet is needed for them and none of its
    artefacts (lost arrows, clipped text) can appear.
    """
    application.setStyle("Fusion")
    application.setPalette(palette(scheme))
    application.setFont(text_font())
