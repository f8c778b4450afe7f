"""Files lately opened, and other small things remembered between sessions on this machine."""

from pathlib import Path
from typing import Final

from PySide6.QtCore import QSettings

MOST: Final = 8


class Recents:
    """Paths of the sculpts and recipes opened last, the latest first; those that are gone are left out."""

    def __init__(self, settings: QSettings) -> None:
        self._settings = settings

    @property
    def paths(self) -> tuple[Path, ...]:
        """All that are still there."""
        return tuple(path for text in self._texts() if (path := Path(text)).is_file())

    def add(self, path: Path) -> None:
        """Put a path first."""
        text = str(path.absolute())
        self._settings.setValue(
            "recents", [text, *(other for other in self._texts() if other != text)][:MOST]
        )

    def _texts(self) -> list[str]:
        kept = self._settings.value("recents", [])
        if isinstance(kept, str):
            return [kept]
        return [str(text) for text in kept] if isinstance(kept, list) else []
