"""What tests of the command line share."""

from collections.abc import Callable

import pytest

from holdwright.cli.main import main


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[int, str, str]]:
    """Runs a command, and gives its exit code and what it wrote on both ways out."""

    def running(*words: object) -> tuple[int, str, str]:
        code = main([str(word) for word in words])
        told = capsys.readouterr()
        assert "Traceback" not in told.err
        return code, told.out, told.err

    return running
