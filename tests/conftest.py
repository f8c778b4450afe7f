"""What every test process needs."""

import os
import tempfile

import pytest

# As in the program's own processes: threads for small matrices do no more than wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


@pytest.fixture(scope="session", autouse=True)
def own_state_folder():
    """Keep records of unfinished exports out of the home of whoever runs the tests."""
    with tempfile.TemporaryDirectory() as folder, pytest.MonkeyPatch.context() as patch:
        for name in ("XDG_STATE_HOME", "LOCALAPPDATA"):
            patch.setitem(os.environ, name, folder)
        yield
