"""Files lately opened and what they look like, remembered between sessions on this machine."""

import hashlib
import os
from contextlib import suppress
from pathlib import Path
from typing import Final

from PySide6.QtCore import QSettings
from PySide6.QtGui import QPixmap

MOST: Final = 8


class Recents:
    """Paths of the sculpts and recipes opened last, the latest first; those that are gone are left out.

    Parameters
    ----------
    pictures
        Folder for a small picture of each.
    """

    def __init__(self, settings: QSettings, pictures: Path) -> None:
        self._settings = settings
        self._pictures = pictures

    @property
    def paths(self) -> tuple[Path, ...]:
        """All that are still there."""
        return tuple(path for text in self._texts() if (path := Path(text)).is_file())

    def add(self, path: Path) -> None:
        """Put a path first; pictures of those that fall off the end go."""
        text = str(path.absolute())
        texts = [text, *(other for other in self._texts() if other != text)]
        self._settings.setValue("recents", texts[:MOST])
        for gone in texts[MOST:]:
            self._picture_file(gone).unlink(missing_ok=True)

    def picture(self, path: Path) -> QPixmap | None:
        """Give the picture of a file; None where none is kept."""
        picture = QPixmap(str(self._picture_file(str(path.absolute()))))
        return None if picture.isNull() else picture

    def keep_picture(self, path: Path, picture: QPixmap) -> None:
        """Keep what a file of the list looks like; where it cannot be written the list does without."""
        text = str(path.absolute())
        if text in self._texts():
            with suppress(OSError):
                self._pictures.mkdir(parents=True, exist_ok=True)
            picture.save(str(self._picture_file(text)))

    def _picture_file(self, text: str) -> Path:
        return self._pictures / f"{hashlib.blake2b(os.fsencode(text), digest_size=12).hexdigest()}.png"

    def _texts(self) -> list[str]:
        kept = self._settings.value("recents", [])
        if isinstance(kept, str):
            return [kept]
        return [str(text) for text in kept] if isinstance(kept, list) else []
