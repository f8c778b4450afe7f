"""The window on a sculpt whose name is no UTF-8 and holds letters that mislead."""

import os
import shutil
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QUrl
from PySide6.QtWidgets import QAbstractButton, QLabel

from holdwright.gui.document import questions
from holdwright.gui.document.drops import local_path
from holdwright.gui.document.recent_files import RecentFiles
from holdwright.gui.pages.welcome_page import RecentFileRow
from holdwright.resources import sample_folder
from whole_window import LEFT, WAIT, open_window, settled

__all__ = ["open_window"]

ODD = os.fsdecode(b"h\xf6ld\x1b[31m\n") + "\u202egpj"
SHOWN = "h\\xf6ld\\x1b[31m\\n\\u202egpj"

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="other systems keep names as Unicode")


def texts(window) -> list[str]:
    """All words a window shows or tells."""
    words = [window.windowTitle()]
    for each in (*window.findChildren(QLabel), *window.findChildren(QAbstractButton)):
        words += [each.text(), each.toolTip(), each.accessibleName(), each.accessibleDescription()]
    return words


def misleading(window) -> list[str]:
    return [text for text in texts(window) if "\u202e" in text or "\x1b" in text or "\udcf6" in text]


def test_opened_saved_kept_exported_and_found_again(
    qtbot, open_window, settings, data_folder, tmp_path, monkeypatch
) -> None:
    folder = tmp_path / os.fsdecode(b"d\xff")
    folder.mkdir()
    sculpt = Path(shutil.copy(sample_folder() / "hall-crimp.obj", folder / f"{ODD}.obj"))
    window = open_window()
    assert window.opening.open_path(sculpt)
    settled(qtbot, window)
    assert window.document.sculpt is not None
    assert window.document.failure == ""
    assert SHOWN in window.windowTitle()
    assert misleading(window) == []

    recipe = folder / f"{ODD}.json"
    monkeypatch.setattr(questions, "where_to_save", lambda *_: recipe)
    assert window.opening.save()
    assert recipe.is_file()
    window.document.do(lambda session: session.change(session.recipe.noted("s1", "kept")))
    window.document.do(lambda session: session.autosave())

    qtbot.mouseClick(window.top_bar.export_button, LEFT)
    panel = window.export_page
    qtbot.waitUntil(panel.isVisible)
    panel.folder_line.setText(
        str(tmp_path / "out")
    )  # the sculpt's folder is not offered: the line would lose it
    with qtbot.waitSignal(panel.written, timeout=WAIT):
        qtbot.mouseClick(panel.export_foot.buttons["write"], LEFT)
    assert f"{ODD}.report.json" in {path.name for path in (tmp_path / "out").iterdir()}
    assert any(SHOWN in line for line in texts(window))
    assert misleading(window) == []

    again = RecentFiles(settings, data_folder / "pictures")
    assert [path.name for path in again.paths] == [f"{ODD}.json", f"{ODD}.obj"]
    url = QUrl.fromEncoded(sculpt.as_uri().encode())
    assert local_path(url) == sculpt
    row = RecentFileRow(again.paths[0], None)
    qtbot.addWidget(row)
    assert row.text() == f"{SHOWN}.json"
    assert "\u202e" not in row.toolTip()
