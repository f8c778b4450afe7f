"""Files lately opened and what they look like, remembered between sessions on this machine."""

import hashlib
from contextlib import suppress
from pathlib import Path
from typing import Final

from PySide6.QtCore import QSettings, QUrl
from PySide6.QtGui import QPixmap

from holdwright.gui.document.drops import local_path

MOST: Final = 8


class RecentFiles:
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
        """All that still exist."""
        return tuple(path for text in self._texts() if (path := _path_of(text)).is_file())

    def add(self, path: Path) -> None:
        """Put a path first; pictures of those that fall off the end go."""
        text = _text_of(path)
        texts = [text, *(other for other in self._texts() if other != text)]
        self._settings.setValue("recents", texts[:MOST])
        for gone in texts[MOST:]:
            self._picture_file(gone).unlink(missing_ok=True)

    def picture(self, path: Path) -> QPixmap | None:
        """Give the picture of a file; None where none is stored."""
        picture = QPixmap(str(self._picture_file(_text_of(path))))
        return None if picture.isNull() else picture

    def store_thumbnail(self, path: Path, picture: QPixmap) -> None:
        """Keep what a file of the list looks like; where it cannot be written the list does without."""
        text = _text_of(path)
        if text in self._texts():
            with suppress(OSError):
                self._pictures.mkdir(parents=True, exist_ok=True)
            picture.save(str(self._picture_file(text)))

    def _picture_file(self, text: str) -> Path:
        return self._pictures / f"{hashlib.blake2b(text.encode(), digest_size=12).hexdigest()}.png"

    def _texts(self) -> list[str]:
        stored = self._settings.value("recents", [])
        if isinstance(stored, str):
            return [stored]
        return [str(text) for text in stored] if isinstance(stored, list) else []


def _text_of(path: Path) -> str:
    """Write a path for the settings, as a URL where its name is no UTF-8, which settings would lose."""
    text = str(path.absolute())
    return text if text.encode("utf-8", "ignore").decode() == text else path.absolute().as_uri()


def _path_of(text: str) -> Path:
    return local_path(QUrl(text)) if text.startswith("file:") else Path(text)
