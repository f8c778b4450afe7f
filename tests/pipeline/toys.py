"""Small operations whose outcome is known, for tests of what runs them."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
import pytest
from pydantic import Field, model_validator

from holdwright import operations
from holdwright.errors import GeometryError
from holdwright.geometry.mesh.boolean import cut_by_plane
from holdwright.geometry.mesh.frame import scaling
from holdwright.geometry.mesh.sculpt import Piece, Sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Rim
from holdwright.hold.finding import Finding
from holdwright.hold.hold import Hold
from holdwright.operations.base import Operation, Outcome, Run
from holdwright.parameters.kinds import Length, Names, Parameters, Picks, Relevant, Rows
from holdwright.pipeline.replaying.store import Store
from shapes import block


class BringParameters(Parameters):
    """How to bring it in."""

    leave_out: Names = Field((), title="Leave out", description="Names to leave out.")


class Bring(Operation[BringParameters]):
    name: ClassVar[str] = "bring"
    title: ClassVar[str] = "Bring in"
    summary: ClassVar[str] = "Brings a block in."
    order: ClassVar[int] = 10
    parameters = BringParameters

    def apply(self, hold: Hold, parameters: BringParameters, run: Run) -> Outcome:
        del parameters, run
        piece = hold.sculpt.pieces[0]
        solid = Solid.from_triangles(piece.vertices, piece.triangles)
        return Outcome(Hold(sized=True).with_whole(solid), result="1 piece")


class GrowParameters(Parameters):
    """How to grow."""

    rule: Literal["factor", "height"] = Field("factor", title="Rule", description="What is given.")
    factor: Annotated[float, Relevant("rule", ("factor",))] = Field(
        2.0, gt=0, title="Factor", description="Lengths are multiplied by it."
    )
    height: Length | None = Field(None, ge=1, le=500, title="Height", description="Height wanted.")


class Grow(Operation[GrowParameters]):
    name: ClassVar[str] = "grow"
    version: ClassVar[int] = 3
    title: ClassVar[str] = "Grow"
    summary: ClassVar[str] = "Makes it larger."
    order: ClassVar[int] = 20
    parameters = GrowParameters
    upgrades: ClassVar[Any] = {
        1: lambda old: {"percent": old["times"] * 100},
        2: lambda old: {"factor": old["percent"] / 100},
    }

    def apply(self, hold: Hold, parameters: GrowParameters, run: Run) -> Outcome:
        with run.stopwatch.searching("factor"):
            factor = parameters.factor
        return Outcome(hold.moved(scaling(factor)), result=f"factor {factor:g}")


class ClipParameters(Parameters):
    """Where to clip."""

    height: Length = Field(3.0, ge=0, title="Clip height", description="Everything below goes.")
    spots: Picks = Field((), title="Spots", description="Places that matter.")
    washer: Annotated[str, Rows("washers")] = Field("M10", title="Washer", description="Under the head.")

    @model_validator(mode="after")
    def _together(self) -> "ClipParameters":
        if self.height > 900 and not self.spots:
            raise ValueError("a clip height over 900 mm needs spots")
        return self


class Clip(Operation[ClipParameters]):
    name: ClassVar[str] = "clip"
    title: ClassVar[str] = "Clip"
    summary: ClassVar[str] = "Clips the lower end."
    order: ClassVar[int] = 30
    repeatable: ClassVar[bool] = True
    parameters = ClipParameters
    width: ClassVar[float] = 20.0
    applied: ClassVar[list[float]] = []

    def apply(self, hold: Hold, parameters: ClipParameters, run: Run) -> Outcome:
        del run
        self.applied.append(parameters.height)
        if parameters.height == 13:
            raise GeometryError("Nothing is left of the clipped block.")
        solid = cut_by_plane(hold.whole, np.array([0.0, 0.0, 1.0]), parameters.height)
        finding = Finding("clipped", "note", "It was clipped.", 1.5, 2.5, "mm", (0.1, 0.2, 1 / 3), "Look.")
        rim = Rim(parameters.height, 0.0, 0.0, solid.area, 1, 0)
        return Outcome(hold.with_whole(solid, rim), (finding,), f"clipped at {parameters.height:g}")

    def rows(self, parameters: ClipParameters, catalogue: object) -> tuple[object, ...]:
        del catalogue
        return ({"washer": parameters.washer, "width": self.width},)


TOYS = (Bring(), Grow(), Clip())


@contextmanager
def toy_operations() -> Iterator[None]:
    """Have these be the operations of the program, and no others."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(operations, "OPERATIONS", TOYS)
        yield


@pytest.fixture
def toys() -> Iterator[None]:
    """Run a test with these operations."""
    with toy_operations():
        yield


def sculpt(x: float = 100.0) -> Sculpt:
    """A block 80 wide and 40 high."""
    solid = block(x)
    piece = Piece("block", np.array(solid.vertices), np.array(solid.triangles))
    return Sculpt((piece,), np.zeros(3), digest=f"block {x}")


def put(store: Store, key: str, outcome: Outcome) -> None:
    """Put an outcome into a folder, and wait until it is written."""
    store.put(key, outcome)
    write_all(store)


def write_all(store: Store) -> None:
    """Write all that a folder is owed."""
    while store.write_one():
        pass
