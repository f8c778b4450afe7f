"""Arrays as the drawing library wants them, without a copy where that can be."""

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray, vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkDataArray, vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData
from vtkmodules.vtkFiltersCore import vtkBinnedDecimation

from holdwright.geometry.arrays import Floats
from holdwright.pipeline.display_results import Surface

HOLLOW: Final = "hollow"
VALUES: Final = "values"


def mesh_of(points: NDArray[Any], triangles: NDArray[Any]) -> vtkPolyData:
    """Give (n, 3) points and (m, 3) triangles as a mesh; the arrays must not be changed any more."""
    made = vtkPolyData()
    made.SetPoints(_points(points))
    made.SetPolys(_cells(triangles, 3))
    return made


def lines_of(points: NDArray[Any], lines: NDArray[Any]) -> vtkPolyData:
    """Give (n, 3) points and (k, 2) segments, or (k, n) polylines, as lines."""
    made = vtkPolyData()
    made.SetPoints(_points(points))
    made.SetLines(_cells(lines, lines.shape[1]))
    return made


def dots_of(points: NDArray[Any]) -> vtkPolyData:
    """Give (n, 3) points as dots."""
    made = vtkPolyData()
    made.SetPoints(_points(points))
    made.SetVerts(_cells(np.arange(len(points)).reshape(-1, 1), 1))
    return made


def array_of(values: NDArray[Any]) -> vtkDataArray:
    """Give an array, which must not be changed any more, as the drawing library's."""
    made: vtkDataArray = numpy_to_vtk(np.ascontiguousarray(values), deep=False)  # type: ignore[no-untyped-call]
    return made


def put(mesh: vtkPolyData, name: str, values: NDArray[Any]) -> None:
    """Hang values on a mesh, one for each of its points."""
    array = array_of(values)
    array.SetName(name)
    mesh.GetPointData().AddArray(array)


def put_normals(mesh: vtkPolyData, normals: NDArray[Any]) -> None:
    """Hang (n, 3) normals on a mesh."""
    mesh.GetPointData().SetNormals(array_of(normals))


def points_in(mesh: vtkPolyData) -> Floats:
    """Give a mesh's points as (n, 3) float64."""
    if not mesh.GetNumberOfPoints():
        return np.zeros((0, 3))
    return np.asarray(_values(mesh.GetPoints().GetData()), dtype=np.float64)


def triangles_in(mesh: vtkPolyData) -> NDArray[np.int64]:
    """Give a mesh's triangles as (m, 3)."""
    if not mesh.GetNumberOfPolys():
        return np.zeros((0, 3), dtype=np.int64)
    cells = _values(mesh.GetPolys().GetConnectivityArray())
    return np.asarray(cells, dtype=np.int64).reshape(-1, 3)


def thinned(surface: Surface, cell: float) -> Surface:
    """Give a coarse likeness with points no closer than about `cell` mm, fast rather than faithful."""
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
    triangles = triangles_in(made).astype(np.int32)
    return Surface(points_in(made).astype(np.float32), triangles)


def _values(array: vtkDataArray) -> NDArray[Any]:
    made: NDArray[Any] = vtk_to_numpy(array)  # type: ignore[no-untyped-call]
    return made


def _points(points: NDArray[Any]) -> vtkPoints:
    made = vtkPoints()
    array = np.ascontiguousarray(points)
    if array.dtype not in (np.float32, np.float64):
        array = array.astype(np.float64)
    made.SetData(array_of(array.reshape(-1, 3)))
    return made


def _cells(cells: NDArray[Any], size: int) -> vtkCellArray:
    made = vtkCellArray()
    flat = np.ascontiguousarray(cells, dtype=np.int64).reshape(-1)
    made.SetData(size, numpy_to_vtkIdTypeArray(flat, deep=True))  # type: ignore[no-untyped-call]
    return made
