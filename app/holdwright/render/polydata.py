"""Arrays as the drawing library takes them, without a copy where that can be."""

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray, vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkDataArray, vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData
from vtkmodules.vtkFiltersCore import vtkBinnedDecimation

from holdwright.pipeline.views.display_results import Surface

HOLLOW: Final = "hollow"
VALUES: Final = "values"


def mesh_of(points: NDArray[Any], triangles: NDArray[Any]) -> vtkPolyData:
    """Give (n, 3) points and (m, 3) triangles as a mesh; the arrays must not be changed any more."""
    return _made(points, "Polys", triangles)


def lines_of(points: NDArray[Any], lines: NDArray[Any]) -> vtkPolyData:
    """Give (n, 3) points and (k, 2) segments, or (k, n) polylines, as lines."""
    return _made(points, "Lines", lines)


def dots_of(points: NDArray[Any]) -> vtkPolyData:
    """Give (n, 3) points as dots."""
    return _made(points, "Verts", np.arange(len(points))[:, None])


def array_of(values: NDArray[Any]) -> vtkDataArray:
    """Give an array, which must not be changed any more, as the drawing library's."""
    made: vtkDataArray = numpy_to_vtk(np.ascontiguousarray(values), deep=False)  # type: ignore[no-untyped-call]
    return made


def array_from(values: vtkDataArray) -> NDArray[Any]:
    """Give an array of the drawing library's, which must not be changed any more."""
    made: NDArray[Any] = vtk_to_numpy(values)  # type: ignore[no-untyped-call]
    return made


def put(mesh: vtkPolyData, name: str, values: NDArray[Any]) -> None:
    """Hang values on a mesh, one for each of its points."""
    array = array_of(values)
    array.SetName(name)
    mesh.GetPointData().AddArray(array)


def put_normals(mesh: vtkPolyData, normals: NDArray[Any]) -> None:
    """Hang (n, 3) normals on a mesh."""
    mesh.GetPointData().SetNormals(array_of(normals))


def thinned(surface: Surface, cell: float) -> Surface:
    """Give a coarse version with points no closer than about `cell` mm, fast rather than faithful."""
    mesh = mesh_of(surface.vertices, surface.triangles)
    extent = np.ptp(surface.vertices, axis=0)
    thin = vtkBinnedDecimation()
    thin.SetInputData(mesh)
    thin.SetPointGenerationModeToBinAverages()
    thin.AutoAdjustNumberOfDivisionsOff()
    divisions = np.clip(np.ceil(extent / max(cell, 1e-9)), 2, 400).astype(int)
    thin.SetNumberOfDivisions(int(divisions[0]), int(divisions[1]), int(divisions[2]))
    thin.Update()
    made = thin.GetOutput()
    points, corners = made.GetPoints().GetData(), made.GetPolys().GetConnectivityArray()
    return Surface(array_from(points).astype(np.float32), array_from(corners).reshape(-1, 3).astype(np.int32))


def _made(points: NDArray[Any], kind: str, cells: NDArray[Any]) -> vtkPolyData:
    array = np.ascontiguousarray(points)
    if array.dtype not in (np.float32, np.float64):
        array = array.astype(np.float64)
    places, numbers = vtkPoints(), vtkCellArray()
    places.SetData(array_of(array.reshape(-1, 3)))
    flat = np.ascontiguousarray(cells, dtype=np.int64).reshape(-1)
    numbers.SetData(cells.shape[1], numpy_to_vtkIdTypeArray(flat, deep=True))  # type: ignore[no-untyped-call]
    made = vtkPolyData()
    made.SetPoints(places)
    getattr(made, f"Set{kind}")(numbers)
    return made
