"""What a joint was reckoned for last, stored for the next hold: a maker's wall and material seldom change."""

from dataclasses import replace
from typing import Any, Final

from PySide6.QtCore import QSettings

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import HoldwrightError
from holdwright.joint.conditions import Conditions, conditions

_FIGURES: Final = ("torque", "mass", "factor", "overhang")
_ROWS: Final = {"panel": "panels", "material": "materials"}


class LastConditions:
    """Figures and names of rows in the settings; what makes no sense there counts as not stored."""

    def __init__(self, settings: QSettings, catalogue: Catalogue) -> None:
        self._settings = settings
        self._catalogue = catalogue

    def read(self) -> Conditions:
        """Read the stored conditions, the usual ones before any were."""
        found = conditions(self._catalogue)
        for name in (*_FIGURES, *_ROWS):
            value = self._value(name)
            if value is not None:
                try:
                    found = replace(found, **{name: value})
                except HoldwrightError:
                    # Some other program's figure: the usual one stands.
                    continue
        return found

    def store(self, chosen: Conditions) -> None:
        """Store conditions; hardware is the recipe's."""
        for name in (*_FIGURES, *_ROWS):
            value = getattr(chosen, name)
            self._settings.setValue(f"joint_{name}", getattr(value, "name", value))

    def _value(self, name: str) -> Any:
        text = str(self._settings.value(f"joint_{name}", ""))
        if name in _ROWS:
            rows = getattr(self._catalogue, _ROWS[name])
            return next((row for row in rows if row.name == text), None)
        try:
            return float(text)
        except ValueError:
            return None
