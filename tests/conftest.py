"""What every test process needs."""

import os
import tempfile

import pytest


@pytest.fixture(scope="session", autouse=True)
def own_state_folder():
    """Keep records of unfinished exports out of the home of whoever runs the tests."""
    with tempfile.TemporaryDirectory() as folder, pytest.MonkeyPatch.context() as patch:
        for name in ("XDG_STATE_HOME", "LOCALAPPDATA"):
            patch.setitem(os.environ, name, folder)
        yield
