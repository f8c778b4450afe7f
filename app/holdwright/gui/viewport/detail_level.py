"""A surface in one degree of detail, in its own colour or in those of a colour map."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from holdwright.gui.viewport.colour_map import ColourMap, table
from holdwright.render.drawn_mesh import LitMesh
from holdwright.render.polydata import VALUES, put
from holdwright.render.shading import set_uniform


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
        # Light changes colours less where it is the colours that are to be read.
        set_uniform(self.actor, plain=float(heat is not None))
        self.mapper.SetScalarVisibility(heat is not None)
        if heat is not None:
            nearest = self._surface.vertex if whole is None else cKDTree(whole).query(self._surface.points)[1]
            put(self._mesh, VALUES, heat.values[nearest].astype(np.float32))
            self._mesh.GetPointData().SetActiveScalars(VALUES)
            self.mapper.SetLookupTable(table(heat))
            self.mapper.SetUseLookupTableScalarRange(True)
            self.mapper.SetScalarModeToUsePointData()
