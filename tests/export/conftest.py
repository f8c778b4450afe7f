"""A folder that exports are put into."""

from pathlib import Path

import pytest

from export.killed_exports import OLD


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Files of an earlier export, and a state folder of this test alone."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    made = tmp_path / "files"
    made.mkdir()
    for name, text in OLD.items():
        (made / name).write_text(text)
    return made
