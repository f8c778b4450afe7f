"""What a recipe remembers of the sculpt it was last done on."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from holdwright.geometry.mesh.frame import scale_of
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.hold.earlier_sculpt import EarlierSculpt, remembered
from holdwright.hold.earlier_steps import EarlierStep, frame_of
from holdwright.hold.feature import Bore, Feature, ScrewHole, TipCut
from holdwright.hold.finding import Point
from holdwright.hold.hold import Hold
from holdwright.operations.base import Run
from holdwright.operations.import_registration import AS_IT_LIES, brought_back
from holdwright.operations.import_sculpt import ImportSculptParameters
from holdwright.operations.orient_to_base import OrientToBase
from holdwright.parameters.kinds import Parameters
from holdwright.pipeline.replaying.replay import StepResult

_FOUND: Final = (Bore, ScrewHole, TipCut)
"""Features whose places the next sculpt is told of."""

_BACK: Final = ((0.0, 0.0, 0.0), (0.0, 0.0, -1000.0))
"""How the back lies once the hold is turned to the wall, as of `EarlierStep.found`."""


def memory_of(sculpt: Sculpt, imported: Hold, parameters: Parameters, run: Run) -> EarlierSculpt:
    """Remember a sculpt in the frame it was imported in, which may be that of the sculpt before it.

    Parameters
    ----------
    sculpt
        As it was read.
    imported, parameters
        The hold after the import, and the step's parameters.
    run
        As the import had it.
    """
    wanted = isinstance(parameters, ImportSculptParameters) and parameters.moved != "leave"
    lies = brought_back(sculpt, run) if wanted else AS_IT_LIES
    laid = lies.registration is not None and not lies.is_other and run.earlier is not None
    origin = np.array(run.earlier.origin) if laid and run.earlier else sculpt.origin
    own_size = isinstance(parameters, ImportSculptParameters) and parameters.moved == "keep its size"
    scale = scale_of(imported.placement) / (1.0 if own_size else scale_of(lies.matrix))
    return remembered(sculpt, origin, lies.matrix, scale)


def steps_of(done: Sequence[StepResult]) -> tuple[EarlierStep, ...]:
    """Remember how the steps of a whole replay were done, in the frame of `memory_of`."""
    laid = done[0].hold.laid if done else None
    out_of_earlier = np.eye(4) if laid is None else np.linalg.inv(laid)
    remembered, latest, features = [], None, tuple[Feature, ...]()
    for step in (each for each in done if each.enabled):
        frame = frame_of(step.hold.placement @ out_of_earlier)
        back = _BACK if step.operation == OrientToBase.name else ()
        found = (*back, *_added(features, step.hold.features))
        moved = None if frame == latest else frame
        remembered.append(EarlierStep(step.id, moved, found=found, kept=step.kept))
        latest, features = frame, step.hold.features
    return tuple(remembered)


def _added(before: Sequence[Feature], after: Sequence[Feature]) -> tuple[Point, ...]:
    """Give the places of holes and cut tips that a step has added; earlier ones it may have altered."""
    added = []
    for kind in _FOUND:
        known = sum(isinstance(each, kind) for each in before)
        added += [each for each in after if isinstance(each, kind)][known:]
    return tuple(each.place if isinstance(each, TipCut) else (each.x, each.y, 0.0) for each in added)
