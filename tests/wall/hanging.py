"""A hold to hang on a wall, made up: a bar of 100 by 60 mm, its bolt 10 mm off the middle."""

import numpy as np

from holdwright.wall.hanging_hold import HangingHold

BAR = HangingHold(
    "bar",
    np.array([(-50.0, -30.0), (50.0, -30.0), (50.0, 30.0), (-50.0, 30.0)]),
    ((10.0, 0.0),),
    ((-40.0, 0.0), (45.0, 20.0)),
    0.5,
    ("M10 x 40",),
    2.0,
    18.0,
    one_way_up=False,
)
