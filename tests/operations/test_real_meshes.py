"""Turning, scaling and trimming open meshes nobody here made."""

from pathlib import Path

import numpy as np
import pytest

from holdwright.catalogue.catalogue import Catalogue
from holdwright.files.reading import read_sculpt
from holdwright.geometry.measure.envelope import smallest_circle
from holdwright.hold.feature import Envelope, Rim
from holdwright.hold.hold import Hold
from holdwright.operations.base import Run
from holdwright.operations.import_sculpt import ImportSculpt, ImportSculptParameters
from holdwright.operations.orient_to_base import OrientToBase, OrientToBaseParameters
from holdwright.operations.scale_to_envelope import ScaleToEnvelope, ScaleToEnvelopeParameters
from holdwright.operations.trim_base import TrimBase
from holdwright.operations.trim_parameters import TrimBaseParameters

FOLDER = Path(__file__).resolve().parents[3] / "shared" / "meshes"
MESHES = [
    "mesh/rock_nature4.obj",
    "mesh/curiosity_rock2.obj",
    "mesh/hermione.obj",
    "mesh/eros_bin.ply",
    "mesh/skull_low.obj",
    "derived/pile12.obj",
]


@pytest.mark.shared
@pytest.mark.skipif(not FOLDER.is_dir(), reason="no folder of real meshes beside the project")
@pytest.mark.parametrize("name", MESHES)
def test_a_mesh_nobody_here_made_gets_a_flat_back_of_the_size_asked_for(name):
    run = Run(Catalogue())
    hold = Hold(sculpt=read_sculpt(FOLDER / name))
    hold = ImportSculpt().apply(hold, ImportSculptParameters(), run).hold
    volume = hold.whole.volume
    hold = OrientToBase().apply(hold, OrientToBaseParameters(), run).hold
    assert hold.whole.volume == pytest.approx(volume)
    hold = ScaleToEnvelope().apply(hold, ScaleToEnvelopeParameters(diameter=150.0), run).hold
    assert smallest_circle(hold.whole.vertices[:, :2]).diameter == pytest.approx(150.0)
    assert hold.find(Envelope)[0].size == pytest.approx(tuple(hold.whole.size))
    depth = hold.whole.size[2]
    trimmed = TrimBase().apply(hold, TrimBaseParameters(chamfer=0.8), run).hold
    back, whole = trimmed.find(Rim)[0], trimmed.whole
    assert whole.bounds[0, 2] == 0.0
    assert whole.bounds[1, 2] <= depth + 1e-9
    section = float(whole.kernel.slice(2.0).area())
    assert section == pytest.approx(float(whole.kernel.slice(2.9).area()), rel=1e-6)
    assert 0.8 * section < back.area < section
    below = whole.vertices[whole.vertices[:, 2] < 1e-6]
    assert (below[:, 2] == 0.0).all()
    assert np.isfinite(whole.vertices).all()
