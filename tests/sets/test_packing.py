"""Beds against shapely, a general-purpose geometry library: nothing overlaps, nothing sticks out."""

import numpy as np
import pytest
from shapely import Polygon, box

from holdwright.sets.packing import Packing, area, pack

PACKING = Packing((250.0, 210.0))


def outline(across: float, seed: int) -> np.ndarray:
    """Give a wavy outline with hollows, as holds have."""
    chance = np.random.default_rng(seed)
    angle = np.linspace(0.0, 2.0 * np.pi, 60, endpoint=False)
    radius = across / 2.0 * (0.8 + 0.2 * np.sin(3 * angle + chance.uniform(0, 6)))
    return np.stack([radius * np.cos(angle), 0.7 * radius * np.sin(angle)], axis=1)


@pytest.fixture(scope="module")
def outlines() -> dict[str, np.ndarray]:
    return {f"hold {number}": outline(70.0 + 12.0 * number, number) for number in range(5)}


def test_nothing_overlaps_and_nothing_sticks_out(outlines):
    packed = pack(outlines, dict.fromkeys(outlines, 2), PACKING)
    bed = box(0.0, 0.0, *PACKING.bed).buffer(-PACKING.margin + 0.01)
    for each in packed.beds:
        laid = [Polygon(placed.moved(outlines[placed.name])) for placed in each.placed]
        assert all(bed.contains(shape) for shape in laid)
        near = [one.distance(other) for place, one in enumerate(laid) for other in laid[:place]]
        assert min(near, default=PACKING.gap) >= PACKING.gap - 0.01
        assert each.density == pytest.approx(sum(shape.area for shape in laid) / (250.0 * 210.0))
    names = [placed.name for each in packed.beds for placed in each.placed]
    assert sorted(names) == sorted([*outlines, *outlines])
    # As many beds as the areas alone ask for, and at most twice that.
    least = np.ceil(sum(map(area, outlines.values())) * 2 / (240.0 * 200.0))
    assert least <= len(packed.beds) <= 2 * least


def test_what_no_bed_holds_is_named():
    packed = pack({"beam": outline(400.0, 1), "dot": outline(30.0, 2)}, {"beam": 1, "dot": 1}, PACKING)
    assert packed.too_large == ("beam",)
    assert [placed.name for each in packed.beds for placed in each.placed] == ["dot"]


def test_one_alone_lies_in_the_middle():
    (bed,) = pack({"dot": outline(60.0, 3) + 400.0}, {"dot": 1}, PACKING).beds
    lying = bed.placed[0].moved(outline(60.0, 3) + 400.0)
    assert (lying.min(axis=0) + lying.max(axis=0)) / 2.0 == pytest.approx([125.0, 105.0])
