"""A surface in one degree of detail, in its own colour or in those of a colour map."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from holdwright.gui.viewport.colour_map import ColourMap
from holdwright.render.colour_scale import colour_table
from holdwright.render.drawn_mesh import LitMesh


class DetailLevel(LitMesh):
    """A surface in one degree of detail."""

    def set_colour_map(self, heat: ColourMap | None, whole: NDArray[np.float32] | None) -> None:
        """Colour it by values, or draw it in its own colour again.

        Parameters
        ----------
        heat
            With a value for each vertex of the solid's whole surface.
        whole
            The (n, 3) vertices of that surface where this level is a coarser one.
        """
        if heat is None:
            self.hide_values()
            return
        nearest = self._surface.vertex if whole is None else cKDTree(whole).query(self._surface.points)[1]
        scale = colour_table(heat.low, heat.high, signed=heat.signed)
        self.show_values(heat.values[nearest].astype(np.float32), scale)
