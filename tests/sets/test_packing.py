"""Beds against shapely, a general-purpose geometry library: nothing overlaps, nothing sticks out."""

import numpy as np
import pytest
from shapely import Polygon, box

from holdwright.sets.benches import do_here
from holdwright.sets.packing import TRIES, Packed, Packing, Try, area, pack

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


def in_vain(tried: list[Try]):
    """Lay on maps, but let every try of the library fail."""

    def do(works):
        tries = [work for work in works if isinstance(work, Try)]
        tried.extend(tries)
        return [None] * len(tries) if tries else do_here(works)

    return do


@pytest.fixture(scope="module")
def packed(outlines) -> Packed:
    """Two of each on beds, by the library."""
    return pack(outlines, dict.fromkeys(outlines, 2), PACKING)


def test_nothing_overlaps_and_nothing_sticks_out(outlines, packed):
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


def test_where_the_area_leaves_no_choice_as_few_beds_are_found():
    """Two by two rectangles fill a bed's room of 240 by 200 mm to 76 %: eight need two beds."""
    bar = np.array([(0.0, 0.0), (104.0, 0.0), (104.0, 88.0), (0.0, 88.0)])
    packed = pack({"bar": bar}, {"bar": 8}, PACKING)
    assert [len(bed.placed) for bed in packed.beds] == [4, 4]
    # Of five nearly as large as the bed the area asks for five, and no time goes to looking for fewer.
    wide = np.array([(0.0, 0.0), (200.0, 0.0), (200.0, 150.0), (0.0, 150.0)])
    tried: list[Try] = []
    assert len(pack({"wide": wide}, {"wide": 5}, PACKING, in_vain(tried)).beds) == 5
    assert tried == []


def test_the_library_makes_do_with_a_bed_less_where_it_can(outlines, packed):
    tried: list[Try] = []
    quick = pack(outlines, dict.fromkeys(outlines, 2), PACKING, in_vain(tried))
    assert 0 < len(tried) <= TRIES
    assert len(packed.beds) <= len(quick.beds)


def test_what_no_bed_holds_is_named():
    packed = pack({"beam": outline(400.0, 1), "dot": outline(30.0, 2)}, {"beam": 1, "dot": 1}, PACKING)
    assert packed.too_large == ("beam",)
    assert [placed.name for each in packed.beds for placed in each.placed] == ["dot"]


def test_one_alone_lies_in_the_middle():
    (bed,) = pack({"dot": outline(60.0, 3) + 400.0}, {"dot": 1}, PACKING).beds
    lying = bed.placed[0].moved(outline(60.0, 3) + 400.0)
    assert (lying.min(axis=0) + lying.max(axis=0)) / 2.0 == pytest.approx([125.0, 105.0])
