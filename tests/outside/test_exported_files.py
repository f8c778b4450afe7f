"""Exported files judged by libraries that had no part in making them.

trimesh, VTK (vtkMassProperties: Alyassin et al., Medical Physics 21, 1994, and vtkFeatureEdges) and libigl
measure the files; lib3mf, the 3MF Consortium's own reader, reads the 3MF in its strict mode.
"""

from pathlib import Path

import igl
import lib3mf
import numpy as np
import pytest
import trimesh
from vtkmodules.vtkFiltersCore import vtkCleanPolyData, vtkFeatureEdges, vtkMassProperties
from vtkmodules.vtkIOGeometry import vtkOBJReader, vtkSTLReader
from vtkmodules.vtkIOPLY import vtkPLYReader

import finished
import shapes
from holdwright.export.job import Exported, export
from holdwright.export.options import ExportOptions
from holdwright.export.pose import PoseName
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.hold import CORE, SHELL
from holdwright.render import tones

ENDINGS = ("stl", "obj", "ply")
PARTS = ("shell", "core")
READERS = {"stl": vtkSTLReader, "obj": vtkOBJReader, "ply": vtkPLYReader}


@pytest.fixture(scope="module")
def exported(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Exported]:
    folder = tmp_path_factory.mktemp("exported")
    return folder, export(finished.job(), folder, [*ENDINGS, "3mf"])


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("ending", ENDINGS)
def test_by_vtk(exported: tuple[Path, Exported], part: str, ending: str) -> None:
    folder, written = exported
    reader = READERS[ending]()
    reader.SetFileName(str(folder / f"boulder-{part}.{ending}"))
    merged = vtkCleanPolyData()
    merged.SetInputConnection(reader.GetOutputPort())
    merged.ToleranceIsAbsoluteOn()
    merged.SetAbsoluteTolerance(0.0)
    measured = vtkMassProperties()
    measured.SetInputConnection(merged.GetOutputPort())
    measured.Update()
    section = written.report.solids[part]
    assert measured.GetVolume() == pytest.approx(section.volume_mm3, rel=1e-5)
    assert measured.GetSurfaceArea() == pytest.approx(section.area_mm2, rel=1e-5)
    assert merged.GetOutput().GetNumberOfPolys() == section.triangles
    edges = vtkFeatureEdges()
    edges.SetInputConnection(merged.GetOutputPort())
    edges.BoundaryEdgesOn()
    edges.FeatureEdgesOff()
    edges.NonManifoldEdgesOff()
    edges.ManifoldEdgesOff()
    edges.Update()
    assert edges.GetOutput().GetNumberOfCells() == 0


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("ending", ENDINGS)
def test_by_trimesh_and_igl(exported: tuple[Path, Exported], part: str, ending: str) -> None:
    folder, written = exported
    section = written.report.solids[part]
    mesh = trimesh.load_mesh(folder / f"boulder-{part}.{ending}")
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.body_count == section.pieces
    assert mesh.volume == pytest.approx(section.volume_mm3, rel=1e-5)
    vertices, faces = np.asarray(mesh.vertices), np.asarray(mesh.faces)
    assert igl.is_edge_manifold(faces)[0]
    assert len(igl.boundary_facets(faces)[0]) == 0
    assert igl.centroid(vertices, faces)[1] == pytest.approx(section.volume_mm3, rel=1e-5)


def test_3mf_by_its_own_reader(exported: tuple[Path, Exported]) -> None:
    folder, written = exported
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(folder / "boulder.3mf"))
    assert reader.GetWarningCount() == 0
    iterator, names = model.GetMeshObjects(), []
    while iterator.MoveNext():
        mesh = iterator.GetCurrentMeshObject()
        names.append(mesh.GetName())
        assert mesh.IsManifoldAndOriented()
        vertices = np.array([list(position.Coordinates) for position in mesh.GetVertices()])
        faces = np.array([list(triangle.Indices) for triangle in mesh.GetTriangleIndices()])
        section = written.report.solids[mesh.GetName()]
        assert igl.centroid(vertices, faces)[1] == pytest.approx(section.volume_mm3, rel=1e-5)
        np.testing.assert_allclose(
            [vertices.min(axis=0), vertices.max(axis=0)],
            np.array(section.bounds_mm) + written.report.pose.shift,
            rtol=0,
            atol=1e-4,
        )
    assert names == list(PARTS)


def test_parts_fill_the_whole_and_meet(exported: tuple[Path, Exported]) -> None:
    """Volumes of shell and core add up; their areas exceed the whole's by twice the face they share."""
    folder, written = exported
    meshes = [trimesh.load_mesh(folder / f"boulder-{part}.stl") for part in PARTS]
    assert sum(mesh.volume for mesh in meshes) == pytest.approx(written.report.whole.volume_mm3, rel=1e-5)
    shared = sum(mesh.area for mesh in meshes) - written.report.whole.area_mm2
    # Side of the core, a frustum of radii 22 and 14 and height 25, and its top ring round the pocket of 13;
    # both as polygons of 96 sides, whose areas fall short of the circle's by 7e-4 and 2e-4.
    side = np.pi * (22 + 14) * np.hypot(25, 22 - 14)
    ring = np.pi * (14**2 - 13**2)
    assert shared / 2 == pytest.approx(side + ring, rel=2e-3)


@pytest.mark.parametrize("pose", ["print", "wall"])
def test_parts_tabs_materials_and_frame_by_the_readers_of_others(
    tmp_path_factory: pytest.TempPathFactory, pose: PoseName
) -> None:
    """Read by lib3mf in strict mode; STL, OBJ and PLY by trimesh hold the same parts at the same places."""
    folder = tmp_path_factory.mktemp(pose)
    parts = {
        SHELL: Solid.checked(shapes.block(80, 60, 30).kernel - shapes.block(20, 20, 30).kernel),
        CORE: shapes.block(20, 20, 30),
    }
    made = finished.job(parts=parts, shrinkage=1.0)
    options = ExportOptions(pose, tabs=True, designer="A. Maker", licence="CC BY 4.0")
    report = export(made, folder, [*ENDINGS, "3mf"], options=options).report
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(folder / "boulder.3mf"))
    assert reader.GetWarningCount() == 0
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    tabs = [f"tab {number}" for number in (1, 2, 3, 4)]
    read, colours, items = {}, {}, model.GetBuildItems()
    while items.MoveNext():
        item = items.GetCurrent()
        assert not item.HasObjectTransform()
        thing = model.GetMeshObjectByID(item.GetObjectResourceID())
        vertices = np.array([list(each.Coordinates) for each in thing.GetVertices()])
        read[thing.GetName()] = np.array([vertices.min(axis=0), vertices.max(axis=0)])
        group, number, known = thing.GetObjectLevelProperty()
        assert known
        bases = model.GetBaseMaterialGroupByID(group)
        tone = bases.GetDisplayColor(number)
        colours[thing.GetName()] = (bases.GetName(number), (tone.Red, tone.Green, tone.Blue, tone.Alpha))
    assert list(read) == [SHELL, CORE, *tabs]
    for name in (SHELL, *tabs):
        assert colours[name] == colours[SHELL]
    assert (colours[SHELL][0], colours[CORE][0]) == (SHELL, CORE)
    for part, tone in ((SHELL, tones.SHELL), (CORE, tones.CORE)):
        assert colours[part][1] == (*bytes.fromhex(tone.removeprefix("#")), 255)
    for name, bounds in read.items():
        for ending in ENDINGS:
            mesh = trimesh.load_mesh(folder / f"boulder-{name.replace(' ', '-')}.{ending}")
            np.testing.assert_allclose(mesh.bounds, bounds, atol=1e-4)
    np.testing.assert_allclose(np.ptp(read[CORE], axis=0), np.array([20, 20, 30]) / 0.99, atol=1e-4)
    everything = np.array(list(read.values()))
    size = everything[:, 1].max(axis=0) - everything[:, 0].min(axis=0)
    np.testing.assert_allclose(size, report.pose.size, atol=1e-4)
    if pose == "print":
        assert everything[:, 0, 2].min() == pytest.approx(0.0, abs=1e-6)
    said = model.GetMetaDataGroup()
    told = {
        each.GetName(): each.GetValue()
        for each in (said.GetMetaData(number) for number in range(said.GetMetaDataCount()))
    }
    assert (told["Designer"], told["LicenseTerms"]) == ("A. Maker", "CC BY 4.0")
    assert told["RecipeDigest"] == report.recipe.digest
    for words in ("true size", "print size", "1 % shrinkage (factor 1.01010)", "shell PETG", "core PETG"):
        assert words in told["Description"]
