"""A finished hold put together by hand, and the replay that could have made it, to test what comes after."""

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

import numpy as np
from manifold3d import Manifold

import shapes
from holdwright.export.job import Job
from holdwright.geometry.mesh.sculpt import Piece, Sculpt
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore, Collar, Envelope, PartingFace, Rim, TipCut
from holdwright.hold.finding import Finding
from holdwright.hold.hold import CORE, SHELL, WHOLE, Hold
from holdwright.hold.hold_measures import measures_of
from holdwright.pipeline.replaying.replay import Replay, StepResult
from recipes import new_recipe

CORE_HEIGHT, CORE_LOW, CORE_HIGH = 25.0, 22.0, 14.0


def bored_boulder(segments: int = 48) -> Solid:
    """A boulder 110 mm wide or so, flat at z = 0, bored 10.5 mm wide, its pocket 26 mm from z = 15 up."""
    kernel = shapes.boulder(55, segments=segments).kernel.translate((0, 0, 20)).trim_by_plane((0, 0, 1), 0)
    bore = Manifold.cylinder(200, 5.25, 5.25, 96, True)
    pocket = Manifold.cylinder(200, 13, 13, 96).translate((0, 0, 15))
    return Solid.checked(kernel - bore - pocket)


def split(whole: Solid) -> dict[str, Solid]:
    """Shell and core of it."""
    cutter = Manifold.cylinder(CORE_HEIGHT, CORE_LOW, CORE_HIGH, 96)
    core, shell = whole.kernel.split(cutter)
    return {SHELL: Solid.checked(shell), CORE: Solid.checked(core)}


def hold_of(solids: Mapping[str, Solid], shrinkage: float = 0.0, sized: bool = True) -> Hold:
    """A hold with features of every kind that a report names."""
    size = (110.0, 108.0, 75.0)
    features = (
        Envelope("circle", (120.0,), 120.0, size, 1.25, shrinkage),
        Rim(height=3.0, allowance=0.0, chamfer=0.5, area=8000.0, islands=1, holes=0),
        TipCut((10.0, 20.0, 60.0), (0.0, 0.0, 1.0), 4.0, 12.5),
        Bore(0.0, 0.0, (0.0, 0.0, 1.0), 10.5, 26.0, 15.0, 15.0, "M10", "washer"),
        PartingFace(0.0, 0.0, (0.0, 0.0, 1.0), 44.0, 28.0, 25.0),
        Collar(30.0, -10.0, (0.0, 0.0, 1.0), 16.0, 40.0),
    )
    return Hold(solids=MappingProxyType(dict(solids)), features=features, sized=sized)


def job(
    name: str = "boulder",
    parts: Mapping[str, Solid] | None = None,
    shrinkage: float = 0.0,
    sized: bool = True,
    findings: tuple[Finding, ...] = (),
) -> Job:
    """A replay of two steps: one gives the whole, one splits it (or leaves it, where `parts` says so)."""
    whole = bored_boulder()
    before = hold_of({WHOLE: whole}, shrinkage, sized)
    after = hold_of(split(whole) if parts is None else parts, shrinkage, sized)
    steps = tuple(
        StepResult(f"s{number}", operation, operation, f"k{number}", hold=hold, measures=measures_of(hold))
        for number, (operation, hold) in enumerate((("cut_bore", before), ("split_core", after)), start=1)
    )
    last = StepResult(
        "s3", "toy", "Toy", "k3", hold=after, findings=findings, seconds=0.5, measures=measures_of(after)
    )
    corner = np.vstack([np.zeros(3), np.eye(3)])
    faces = np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]])
    sculpt = Sculpt((Piece("corner", corner, faces),), np.zeros(3), "d1" * 16, format="OBJ")
    return Job(name, sculpt, Path(f"{name}.obj"), new_recipe(), "starter", Replay((*steps, last)))
