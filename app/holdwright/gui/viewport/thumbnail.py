"""A small picture of the hold, to know its file by."""

from typing import Final

import numpy as np
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QPixmap

from holdwright.geometry.arrays import Floats

WIDTH: Final = 72
HEIGHT: Final = 54
"""Device-independent pixels a thumbnail is shown at."""

SHARPEST: Final = 3
"""It is stored for screens of up to so many device pixels to one."""


def thumbnail_of(picture: QPixmap, points: Floats, size: tuple[int, int]) -> QPixmap:
    """Cut a picture down to what matters in it.

    Parameters
    ----------
    picture
        Of a view.
    points
        (n, 2) where what matters lies in the view, in its pixels.
    size
        Of the view in its pixels; the picture may have more.
    """
    low, high = points.min(axis=0), points.max(axis=0)
    # So much wider and higher than the hold in it.
    middle, (wide, tall) = (low + high) / 2, (high - low) * 1.2
    wide = min(max(wide, tall * WIDTH / HEIGHT, 1.0), size[0], size[1] * WIDTH / HEIGHT)
    tall = wide * HEIGHT / WIDTH
    left, top = np.clip(middle - (wide / 2, tall / 2), 0.0, (size[0] - wide, size[1] - tall))
    scale = picture.width() / size[0]
    cut = QRect(*(round(each * scale) for each in (left, top, wide, tall)))
    return picture.copy(cut).scaled(
        WIDTH * SHARPEST,
        HEIGHT * SHARPEST,
        Qt.AspectRatioMode.IgnoreAspectRatio,
        Qt.TransformationMode.SmoothTransformation,
    )
