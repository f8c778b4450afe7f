"""What a step is run with."""

import pytest

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.geometry.mesh.sculpt import Piece
from holdwright.hold.hold import Hold
from holdwright.operations.base import Outcome, Run
from holdwright.operations.import_sculpt import ImportSculpt, ImportSculptParameters
from sculpts import sculpt


@pytest.fixture(scope="session")
def run() -> Run:
    return Run(load_catalogue())


@pytest.fixture
def imported(run):
    """Imports pieces of a sculpt."""

    def imports(*pieces: Piece, **parameters: object) -> Outcome:
        return ImportSculpt().apply(Hold(sculpt=sculpt(*pieces)), ImportSculptParameters(**parameters), run)

    return imports
