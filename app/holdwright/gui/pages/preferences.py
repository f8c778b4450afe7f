"""What a maker prefers on this machine, and the page to choose it."""

from collections.abc import Mapping
from typing import Any, Final, Literal, TypeVar

from PySide6.QtCore import QByteArray, QObject, QSettings, Signal
from PySide6.QtWidgets import QApplication, QWidget

from holdwright.gui.form.choice_editors import ChoiceWords
from holdwright.gui.pages.page import Page
from holdwright.gui.sidebar.findings_panel import SHARE, SHARES
from holdwright.gui.widgets import style
from holdwright.gui.widgets.buttons import CheckBox
from holdwright.gui.widgets.number_format import Preferred

SchemeChoice = Literal["system", "light", "dark"]

T = TypeVar("T")

SCHEMES: Final[dict[SchemeChoice, str]] = {"system": "System", "light": "Light", "dark": "Dark"}
UNITS: Final[dict[Preferred, str]] = {"mm": "Millimetres", "inch": "Inches"}
# An INI file has no types: what was True comes back as text.
_SWITCH: Final = {"true": True, "True": True, "false": False, "False": False}


def _stored(name: str, values: Mapping[str, object] | None, default: object) -> property:
    """Make a property in the settings; what is not in `values`, or of another type, counts as the default."""

    def read(preferences: "Preferences") -> Any:
        value = preferences.settings.value(name, default)
        if values is None:
            return value if isinstance(value, type(default)) else default
        return values.get(str(value), default)

    def write(preferences: "Preferences", value: object) -> None:
        if read(preferences) != value:
            preferences.settings.setValue(name, value)
            preferences.changed.emit(name)

    return property(read, write)


class Preferences(QObject):
    """Typed access to settings; whatever else stands there counts as the default.

    Attributes
    ----------
    scheme
        Which colours to dress the window in.
    length_unit
        Unit lengths are shown in; files are in millimetres whatever it is.
    camera_motion
        Whether the view turns from one side to another, or changes at once.
    wall_grid
        Whether a grid shows the wall behind the hold.
    replay_changed
        Whether the recipe is replayed unasked on a sculpt that changed on disk.
    first_hints
        Whether the sample is shown with hints.
    window_layout
        Place and size of the window, as Qt writes them; empty before it was ever closed.
    findings_folded, findings_share
        Whether the findings are folded away; percent of the window's height they may take.
    print_folded
        Whether the rows of the print are.

    Signals
    -------
    changed
        Another value was set: the property's name.
    """

    changed = Signal(str)

    scheme = _stored("scheme", {each: each for each in SCHEMES}, "system")
    length_unit = _stored("length_unit", {each: each for each in UNITS}, "mm")
    camera_motion = _stored("camera_motion", _SWITCH, True)
    wall_grid = _stored("wall_grid", _SWITCH, True)
    replay_changed = _stored("replay_changed", _SWITCH, False)
    first_hints = _stored("first_hints", _SWITCH, True)
    window_layout = _stored("window_layout", None, QByteArray())
    findings_folded = _stored("findings_folded", _SWITCH, False)
    print_folded = _stored("print_folded", _SWITCH, True)
    findings_share = _stored("findings_share", {str(each): each for each in SHARES}, SHARE)

    def __init__(self, settings: QSettings, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.settings = settings

    def scheme_for(self, application: QApplication) -> style.Scheme:
        """Give the scheme to dress in: the one preferred, or the desktop's."""
        return style.system_scheme(application) if self.scheme == "system" else self.scheme


class PreferencesPage(Page):
    """One line a preference; each holds from the moment it is chosen."""

    def __init__(self, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__("Preferences", parent)
        self._preferences = preferences
        self.scheme_words = self._choice("Colours", SCHEMES, "scheme", "Colours of the window")
        self.unit_words = self._choice("Lengths", UNITS, "length_unit", "Unit for displayed lengths")
        self.add_words("Files are always in millimetres.", faint=True)
        self.add_heading("View")
        self.motion_box = self._tick("Animate view changes", "camera_motion", "If off, views change at once")
        self.grid_box = self._tick("Show the wall behind the hold", "wall_grid", "A grid in its plane")
        self.add_heading("Sculpt")
        tip = "If off, it is offered each time"
        self.replay_box = self._tick("Replay when it changes on disk", "replay_changed", tip)
        self.column.addStretch(1)
        preferences.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the preferences as they are."""
        self.scheme_words[self._preferences.scheme].setChecked(True)
        self.unit_words[self._preferences.length_unit].setChecked(True)
        self.motion_box.setChecked(self._preferences.camera_motion)
        self.grid_box.setChecked(self._preferences.wall_grid)
        self.replay_box.setChecked(self._preferences.replay_changed)

    def _choice(self, title: str, values: Mapping[Any, str], name: str, tip: str) -> ChoiceWords:
        self.add_heading(title)
        words = ChoiceWords({value: (text, tip, f"{title}: {text}") for value, text in values.items()}, self)
        words.chosen.connect(lambda value: setattr(self._preferences, name, value))
        self.column.addWidget(words)
        return words

    def _tick(self, text: str, name: str, tip: str) -> CheckBox:
        box = self.add_tick(text, tip)
        box.clicked.connect(lambda on: setattr(self._preferences, name, on))
        return box
