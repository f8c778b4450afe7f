"""Layers and their parts, beside closed forms and a second library's offsets and booleans."""

import numpy as np
import pytest
import shapely
import shapely.ops
import trimesh

from holdwright.errors import GeometryError
from holdwright.geometry.layers.layer_stack import Layer, LayerRule, layer_figures, layers
from shapes import block, boulder, frustum, ring, sphere

RULE = LayerRule(height=0.4, width=1.0, passes=2, bottom=3, top=4)


def part(outlines):
    """What outlines enclose by the even-odd rule, for shapely."""
    whole = shapely.Polygon()
    for outline in outlines:
        whole = whole.symmetric_difference(shapely.Polygon(outline))
    return whole


def test_block_is_passes_solid_ends_and_infill():
    figures = layer_figures(block(100.0, 80.0, 40.0), RULE)
    assert len(figures.middle) == 100
    assert figures.middle[[0, -1]] == pytest.approx([0.2, 39.8])
    inside = (100.0 - 4.0) * (80.0 - 4.0)
    assert figures.band == pytest.approx(np.full(100, 8000.0 - inside))
    assert figures.solid == pytest.approx(np.r_[np.full(3, inside), np.zeros(93), np.full(4, inside)])
    assert figures.infill == pytest.approx(inside - figures.solid)
    assert figures.pass_length == pytest.approx(np.full(100, 2 * (99 + 79) + 2 * (97 + 77)))
    assert figures.corners == pytest.approx(np.full(100, 8))


def test_no_solid_layers_leave_the_infill_open():
    figures = layer_figures(block(), LayerRule(0.4, 1.0, 2, bottom=0, top=4))
    assert not figures.solid[:10].any()
    assert figures.solid[-4:].all()
    assert not layer_figures(block(), LayerRule(0.4, 1.0, 2, 0, 0)).solid.any()


def test_wall_thinner_than_its_passes_is_all_passes():
    figures = layer_figures(ring(40.0, 38.0, 10.0), RULE)
    assert figures.band == pytest.approx(figures.area)
    assert figures.area == pytest.approx(np.pi * (40.0**2 - 38.0**2), rel=0.001)


def test_slope_is_solid_as_wide_as_its_top_layers_do_not_cover():
    # A frustum's radius falls 1 mm a layer: four top layers leave a solid ring 4 mm wide inside the passes.
    figures = layer_figures(frustum(60.0, 35.0, 10.0, 512), RULE)
    radius = 60.0 - 2.5 * figures.middle
    infill = np.pi * np.minimum(radius - 2.0, radius - 4.0) ** 2
    assert figures.infill[4:20] == pytest.approx(infill[4:20], rel=0.003)


@pytest.mark.parametrize("seed", range(10))
def test_layers_of_lumpy_solids_are_those_of_a_second_library(seed):
    """Trimesh's sections, shapely's offsets and booleans."""
    solid, rule = boulder(30.0, 0.3, seed, 32), LayerRule(2.0, 0.8, 2, 2, 3)
    found = list(layers(solid, rule))
    mesh = trimesh.Trimesh(solid.vertices, solid.triangles, process=False)
    sections = [mesh.section([0, 0, 1], [0, 0, layer.middle]) for layer in found]
    cut = [shapely.ops.unary_union(each.to_2D(to_2D=np.eye(4))[0].polygons_full) for each in sections]
    for n in (0, 1, 7, 20, len(found) - 3, len(found) - 1):
        inner = cut[n].buffer(-1.6, join_style="mitre", mitre_limit=2.0)
        covered = inner
        for other in (*range(n - 2, n), *range(n + 1, n + 4)):
            covered = covered.intersection(cut[other]) if 0 <= other < len(cut) else shapely.Polygon()
        assert found[n].band == pytest.approx(cut[n].area - inner.area, abs=2.0)
        assert found[n].infill.area() == pytest.approx(covered.area, abs=2.0)
        assert found[n].solid.area() == pytest.approx(inner.area - covered.area, abs=3.0)


def test_layers_fill_the_volume():
    ball = sphere(30.0)
    figures = layer_figures(ball, LayerRule(0.2, 0.45, 2, 4, 4))
    assert figures.area.sum() * 0.2 == pytest.approx(ball.volume, rel=1e-3)


def test_outlines_of_a_layer_enclose_its_parts():
    layer: Layer = list(layers(block(), RULE))[50]
    passes, solid, infill = layer.outlines()
    assert [part(each).area for each in passes] == pytest.approx([99.0 * 79.0, 97.0 * 77.0])
    assert part(infill).area == pytest.approx(96.0 * 76.0)
    assert not solid


def test_part_lower_than_half_a_layer_is_refused():
    with pytest.raises(GeometryError, match=r"Layers of 2 mm were asked for in a part 0\.5 mm high"):
        layer_figures(block(10.0, 10.0, 0.5), LayerRule(2.0, 1.0, 2, 0, 0))
