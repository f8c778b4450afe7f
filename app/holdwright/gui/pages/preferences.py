"""What a maker prefers on this machine, and the page to say so."""

from typing import Final, Literal, TypeVar

from PySide6.QtCore import QByteArray, QObject, QSettings, Signal
from PySide6.QtWidgets import QApplication, QHBoxLayout, QWidget

from holdwright.gui.form.choice_editors import ChoiceButton
from holdwright.gui.pages.page import Page
from holdwright.gui.widgets import style
from holdwright.gui.widgets.check_box import CheckBox
from holdwright.gui.widgets.number_format import Preferred

Asked = Literal["system", "light", "dark"]

T = TypeVar("T")

SCHEMES: Final[dict[Asked, str]] = {"system": "System", "light": "Light", "dark": "Dark"}
UNITS: Final[dict[Preferred, str]] = {"mm": "Millimetres", "inch": "Inches"}


class Preferences(QObject):
    """Typed access to settings; whatever else stands there counts as the default.

    Signals
    -------
    changed
        Another value was set: the property's name.
    """

    changed = Signal(str)

    def __init__(self, settings: QSettings, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._settings = settings

    @property
    def scheme(self) -> Asked:
        """Which colours to dress the window in."""
        return self._one_of("scheme", SCHEMES, "system")

    @scheme.setter
    def scheme(self, value: Asked) -> None:
        self._set("scheme", value)

    @property
    def length_unit(self) -> Preferred:
        """Unit lengths are shown in; files are in millimetres whatever it is."""
        return self._one_of("length_unit", UNITS, "mm")

    @length_unit.setter
    def length_unit(self, value: Preferred) -> None:
        self._set("length_unit", value)

    @property
    def camera_motion(self) -> bool:
        """Whether the view turns from one side to another, or is there at once."""
        return self._switch("camera_motion", default=True)

    @camera_motion.setter
    def camera_motion(self, value: bool) -> None:
        self._set("camera_motion", value)

    @property
    def wall_grid(self) -> bool:
        """Whether a grid shows the wall behind the hold."""
        return self._switch("wall_grid", default=True)

    @wall_grid.setter
    def wall_grid(self, value: bool) -> None:
        self._set("wall_grid", value)

    @property
    def window_layout(self) -> QByteArray:
        """Place and size of the window, as Qt writes them; empty before it was ever closed."""
        kept = self._settings.value("window_layout", QByteArray())
        return kept if isinstance(kept, QByteArray) else QByteArray()

    @window_layout.setter
    def window_layout(self, value: QByteArray) -> None:
        self._set("window_layout", value)

    def scheme_for(self, application: QApplication) -> style.Scheme:
        """Give the scheme to dress in: the one preferred, or the desktop's."""
        asked = self.scheme
        return style.system_scheme(application) if asked == "system" else asked

    def _one_of(self, name: str, values: dict[T, str], default: T) -> T:
        kept = self._settings.value(name, default)
        return next((value for value in values if value == kept), default)

    def _switch(self, name: str, *, default: bool) -> bool:
        # An INI file keeps no kinds: what was True comes back as text.
        kept = self._settings.value(name, default)
        return default if str(kept).lower() not in ("true", "false") else str(kept).lower() == "true"

    def _set(self, name: str, value: object) -> None:
        if getattr(self, name) == value:
            return
        self._settings.setValue(name, value)
        self.changed.emit(name)


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
        self.column.addStretch(1)
        preferences.changed.connect(lambda _name: self.refresh())
        self.refresh()

    def refresh(self) -> None:
        """Show the preferences as they are."""
        self.scheme_words[self._preferences.scheme].setChecked(True)
        self.unit_words[self._preferences.length_unit].setChecked(True)
        self.motion_box.setChecked(self._preferences.camera_motion)
        self.grid_box.setChecked(self._preferences.wall_grid)

    def _choice(self, title: str, values: dict[T, str], name: str, told: str) -> dict[T, ChoiceButton]:
        self.add_heading(title)
        held = QWidget(self)
        row = QHBoxLayout(held)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        words = {}
        for value, text in values.items():
            word = ChoiceButton(text, held)
            word.setAccessibleName(f"{title}: {text}")
            word.setToolTip(told)
            word.clicked.connect(lambda _on=False, value=value: setattr(self._preferences, name, value))
            row.addWidget(word)
            words[value] = word
        row.addStretch(1)
        self.column.addWidget(held)
        return words

    def _tick(self, text: str, name: str, told: str) -> CheckBox:
        box = self.add_tick(text, told)
        box.clicked.connect(lambda on: setattr(self._preferences, name, on))
        return box
