"""A block on a wall with a bar that sticks out sideways, bolted in the middle and pulled at the bar's end."""

import numpy as np
from manifold3d import Manifold

from holdwright.geometry.mesh.boolean import subtract, union
from holdwright.geometry.mesh.frame import placement
from holdwright.geometry.mesh.solid import Solid
from holdwright.joint.holding.loads import Load, Loads
from holdwright.strength.loaded_hold import LoadedHold, TightenedBolt
from shapes import block

LONG, HIGH = 100.0, 24.0
"""Of the bar, and the sides of its square section, mm."""


def lipped_hold(
    long: float = LONG, pull: float = 3000.0, apart: float = 0.0, *, core: bool = False
) -> LoadedHold:
    """A block of 60 x 60 x 48 mm with a bar toward +x, `apart` from it, loaded at its end along y and z.

    With a core: a third of the bar's section, in its root.
    """
    bar = block(long, HIGH, HIGH).moved(placement(shift=np.array([30.0 + long / 2.0 + apart, 0.0, 12.0])))
    whole = union([block(60.0, 60.0, 48.0), bar], "the hold")
    hole = Manifold.cylinder(200, 5.5, 5.5, 48, True) + Manifold.cylinder(50, 16, 16, 48).translate(
        (0, 0, 20)
    )
    whole = subtract(whole, [Solid.checked(hole)], "the bored hold")
    end = np.array([30.0 + long - 6.0, 0.0, 12.0 + HIGH / 2.0])
    side = np.array([0.0, HIGH / 2.0, 0.0])
    points = np.array([end + side, end - side])
    bolt = TightenedBolt(np.array([0.0, 0.0, 20.0]), np.array([0.0, 0.0, 1.0]), 11.0, 30.0, pull, 3e5)
    loads = Loads(np.array([(0.0, -1.0), (0.0, 1.0)]), points)
    grip = whole.mesh.near(np.array([-99.0, -99.0, 1.0]), np.array([300.0, 99.0, 99.0]))
    parts = {"whole": whole}
    if core:
        inner = block(40.0, 14.0, 14.0).moved(placement(shift=np.array([40.0, 0.0, 17.0])))
        parts = {"shell": subtract(whole, [inner], "the shell"), "core": inner}
    return LoadedHold(parts, whole, grip, (bolt,), 33.0, np.zeros(2), loads, Load(500.0, 1e-3))
