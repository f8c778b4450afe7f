"""Draws into memory: what a camera sees, pixel by pixel."""

from typing import Any

import numpy as np
from numpy.typing import NDArray
from pyvista import PolyData, convert_array
from vtkmodules.vtkCommonCore import vtkFloatArray
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper, vtkRenderer

from drawing.camera import Camera
from holdwright.geometry.arrays import Floats
from holdwright.render.off_screen import Pixels, drawn, open_off_screen

Bytes = Pixels


class FrameBuffer:
    """Shows one surface to any camera, without a window, in flat colours and free of smoothing.

    Parameters
    ----------
    points
        (3m, 3) float64, mm: the corners of m triangles, three after three.
    pixels
        Width and height.

    Raises
    ------
    ExportError
        When the machine offers no OpenGL at all.
    """

    def __init__(self, points: Floats, pixels: tuple[int, int]) -> None:
        self._pixels = pixels
        corners: NDArray[Any] = np.arange(len(points)).reshape(-1, 3)  # triangles share none
        self._mesh = PolyData.from_regular_faces(points, corners)
        self._mapper = vtkPolyDataMapper()
        self._mapper.SetInputData(self._mesh)
        self._mapper.SetScalarModeToUsePointData()
        actor = vtkActor()
        actor.SetMapper(self._mapper)
        actor.GetProperty().LightingOff()
        self._renderer = vtkRenderer()
        self._renderer.AddActor(actor)
        self._window = open_off_screen(self._renderer, pixels)

    def close(self) -> None:
        """Give the screen back to the machine."""
        self._window.Finalize()

    def look(self, camera: Camera) -> None:
        """Point the screen's camera."""
        self._camera = camera
        view = self._renderer.GetActiveCamera()
        view.SetPosition(*camera.position)
        view.SetFocalPoint(*camera.target)
        view.SetViewUp(*camera.up)
        view.SetParallelProjection(int(camera.view_angle == 0.0))
        if camera.view_angle > 0.0:
            view.SetViewAngle(camera.view_angle)
        view.SetParallelScale(camera.half_height)
        view.SetClippingRange(camera.near, camera.far)

    def colours(self, corner_colours: Bytes) -> Bytes:
        """Show the surface in flat colours.

        Parameters
        ----------
        corner_colours
            (3m, 3) uint8, blended across each triangle.

        Returns
        -------
        (height, width, 3) uint8, first row on top; black where nothing is.
        """
        # A new array each time: the drawing library takes it for unchanged otherwise.
        self._mesh.GetPointData().SetScalars(convert_array(corner_colours, deep=True))
        return drawn(self._window)

    def depth(self, *, drawn: bool = False) -> Floats:
        """Distance from the camera's plane to what it sees.

        Parameters
        ----------
        drawn
            Whether the surface was just drawn, so that it need not be again.

        Returns
        -------
        (height, width) float64 in mm, first row on top; the far limit where nothing is.
        """
        if not drawn:
            self._window.Render()
        width, height = self._pixels
        buffer = vtkFloatArray()
        self._window.GetZbufferData(0, 0, width - 1, height - 1, buffer)
        share = np.asarray(convert_array(buffer), dtype=np.float64).reshape(height, width)[::-1]
        near, far = self._camera.near, self._camera.far
        if self._camera.view_angle == 0.0:
            return np.asarray(near + share * (far - near))
        return np.asarray(near * far / (far - share * (far - near)))
