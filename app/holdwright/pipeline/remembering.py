"""What a recipe remembers of the sculpt it was last done on."""

import numpy as np

from holdwright.geometry.mesh.frame import scale_of
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.hold.earlier_sculpt import EarlierSculpt, remembered
from holdwright.hold.hold import Hold
from holdwright.operations.base import Run
from holdwright.operations.import_registration import AS_IT_LIES, brought_back
from holdwright.operations.import_sculpt import ImportSculptParameters
from holdwright.parameters.kinds import Parameters


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
    wanted = isinstance(parameters, ImportSculptParameters) and parameters.moved == "bring back"
    lies = brought_back(sculpt, run) if wanted else AS_IT_LIES
    laid = lies.registration is not None and not lies.is_other and run.earlier is not None
    origin = np.array(run.earlier.origin) if laid and run.earlier else sculpt.origin
    scale = scale_of(imported.placement) / scale_of(lies.matrix)
    return remembered(sculpt, origin, lies.matrix, scale)
