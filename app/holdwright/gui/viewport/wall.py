"""The wall behind the hold: a light grid of 10 and 50 mm, and the hold's soft shadow on it."""

from typing import Final

import numpy as np
from scipy.ndimage import binary_closing, gaussian_filter
from vtkmodules.vtkCommonDataModel import vtkImageData
from vtkmodules.vtkRenderingCore import vtkTexture

from holdwright.geometry.arrays import Floats
from holdwright.gui.viewport.drawing_style import DrawingStyle
from holdwright.render.drawn_mesh import DrawnMesh
from holdwright.render.polydata import array_of, lines_of, mesh_of
from holdwright.render.tones import rgb

SPACING: Final = 10.0
_CELLS: Final = 160
_LIGHT_FALLS: Final = np.array([0.24, -0.30])
"""How far a shadow lies from what casts it, along x and y, of its height above the wall."""


class Wall:
    """The wall's grid and the shadow on it."""

    def __init__(self, look: DrawingStyle) -> None:
        self.grid_shown = True
        self.grid, self.shade = DrawnMesh(scalars=True), DrawnMesh()
        self._texture = vtkTexture()
        self._texture.InterpolateOn()
        self._texture.EdgeClampOn()
        self.shade.actor.SetTexture(self._texture)
        for drawn in (self.grid, self.shade):
            drawn.actor.ForceTranslucentOn()
            drawn.actor.VisibilityOff()
        self._casters: Floats = np.zeros((0, 3))
        self.set_style(look)

    @property
    def has_shadow(self) -> bool:
        """Whether it stands behind anything."""
        return len(self._casters) > 0

    def face(self, in_front: bool) -> None:
        """Say whether the camera is before the wall: from behind it is not drawn."""
        self.grid.actor.SetVisibility(in_front and self.has_shadow and self.grid_shown)
        self.shade.actor.SetVisibility(in_front and self.has_shadow)

    def set_style(self, look: DrawingStyle) -> None:
        """Draw it in another style."""
        self._style = look
        self.grid.actor.GetProperty().SetLineWidth(look.pixel)
        self.stand_behind(self._casters)

    def stand_behind(self, points: Floats) -> None:
        """Put the wall behind some (n, 3) points of what is shown, mm."""
        self._casters = points
        if len(points):
            low, high = points.min(axis=0), points.max(axis=0)
            middle, reach = (low + high)[:2] / 2, float((high - low).max())
            self._draw_grid(middle, reach)
            self._cast(points, middle, reach)

    def _draw_grid(self, middle: Floats, reach: float) -> None:
        """Draw lines at whole centimetres that fade out away from the middle."""
        spacing = SPACING * 10.0 ** max(np.ceil(np.log10(max(reach, 1e-6) / 400.0)), 0.0)
        spacing /= 10.0 ** max(np.ceil(np.log10(20.0 / max(reach, 1e-6))), 0.0)
        half = 1.05 * reach
        first = np.ceil((middle - half) / spacing).astype(int)
        last = np.floor((middle + half) / spacing).astype(int)
        along = np.linspace(-half, half, 41)
        points, strengths = [], []
        for axis in (0, 1):
            for number in range(first[axis], last[axis] + 1):
                row = np.zeros((len(along), 3))
                row[:, axis] = number * spacing
                row[:, 1 - axis] = middle[1 - axis] + along
                far = np.linalg.norm(row[:, :2] - middle, axis=1) / half
                points.append(row)
                strengths.append(np.clip(1.0 - far, 0, 1) ** 1.2 * (0.85 if number % 5 == 0 else 0.30))
        stretch = np.arange(len(points) * len(along)).reshape(len(points), len(along))
        mesh = lines_of(np.concatenate(points), stretch)
        colour = np.tile(np.append(np.array(rgb(self._style.grid)) * 255, 255.0), (stretch.size, 1))
        colour[:, 3] *= np.concatenate(strengths)
        mesh.GetPointData().SetScalars(array_of(colour.astype(np.uint8)))
        self.grid.mapper.SetInputData(mesh)

    def _cast(self, points: Floats, middle: Floats, reach: float) -> None:
        """Draw the shadow: where no light arrives, the more blurred the higher what stands in its way."""
        half = 1.1 * reach
        height = np.maximum(points[:, 2:3], 0.0)
        level = np.zeros((_CELLS, _CELLS))
        for share, blur in ((0.35, 0.010), (0.7, 0.025), (1.0, 0.045)):
            fallen = points[:, :2] + height * share * _LIGHT_FALLS - middle
            cell = np.floor((fallen / (2 * half) + 0.5) * _CELLS).astype(int)
            inside = ((cell >= 0) & (cell < _CELLS)).all(axis=1)
            dark = np.zeros((_CELLS, _CELLS), dtype=bool)
            dark[cell[inside, 1], cell[inside, 0]] = True
            dark = binary_closing(dark, iterations=4)
            level += gaussian_filter(dark.astype(float), blur * _CELLS) / 3.0
        pixels = np.zeros((_CELLS, _CELLS, 4), dtype=np.uint8)
        pixels[..., :3] = np.array(rgb("#2A2620" if self._style.shade < 0.4 else "#08090A")) * 255
        pixels[..., 3] = (255 * self._style.shade * level).astype(np.uint8)
        image = vtkImageData()
        image.SetDimensions(_CELLS, _CELLS, 1)
        image.GetPointData().SetScalars(array_of(pixels.reshape(-1, 4)))
        self._texture.SetInputData(image)
        corner = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
        place = np.column_stack([corner * half + middle, np.full(4, -0.004 * reach)])
        sheet = mesh_of(place, np.array([[0, 1, 2], [0, 2, 3]]))
        sheet.GetPointData().SetTCoords(array_of((corner + 1.0) / 2.0))
        self.shade.mapper.SetInputData(sheet)
