"""Letters in the back: legible from behind, clear of holes and lands, and as deep as asked."""

import numpy as np
import pytest
from manifold3d import Manifold
from shapely.geometry import Point, Polygon, box
from shapely.ops import unary_union

from boring import CATALOGUE, codes
from holdwright.errors import GeometryError, ParameterError
from holdwright.files.lettering import letters
from holdwright.geometry.measure.sections import section, signed_area
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Engraving, ScrewHole
from holdwright.hold.hold import Hold
from holdwright.operations.base import Outcome, Run
from holdwright.operations.cut_screw_hole import CutScrewHole, CutScrewHoleParameters
from holdwright.operations.engrave_back import EngraveBack, EngraveBackParameters
from holdwright.operations.relieve_back import RelieveBack, RelieveBackParameters
from holdwright.resources import resource_folder
from shapes import block

RUN = Run(CATALOGUE)


def disc() -> Hold:
    return Hold(sized=True).with_whole(Solid.checked(Manifold.cylinder(40.0, 60.0, 50.0, 256)))


def engraved(hold: Hold, **parameters: object) -> Outcome:
    return EngraveBack().apply(hold, EngraveBackParameters(**parameters), RUN)


def made(outcome: Outcome) -> Engraving:
    (found,) = outcome.hold.find(Engraving)
    return found


def text_outlines(hold: Hold, height: float) -> list[np.ndarray]:
    """What is cut out of the hold at a height, as outlines."""
    return [outline for outline in section(hold.whole, height) if signed_area(outline) < 0]


def test_what_is_cut_is_the_area_of_the_letters_times_their_depth():
    outcome = engraved(disc(), text="IX", arrow=False, height=20.0, depth=0.8, place="at", at=(0.0, 0.0))
    # shapely unites the outlines of the font on its own; "I" and "X" have no inner outlines.
    union = unary_union([Polygon(each * 20.0).buffer(0) for each in letters("IX")])
    removed = disc().whole.volume - outcome.hold.whole.volume
    assert removed == pytest.approx(union.area * 0.8, rel=1e-4)
    assert made(outcome).top == 0.8
    assert outcome.findings == ()


def test_seen_from_behind_it_reads_from_left_to_right():
    # Of "L." the long stroke stands left; from behind, left is where x is greater.
    outcome = engraved(disc(), text="L.", arrow=False, height=20.0, place="at", at=(0.0, 0.0))
    stem = max(text_outlines(outcome.hold, 0.4), key=lambda outline: np.ptp(outline[:, 1]))
    dot = min(text_outlines(outcome.hold, 0.4), key=lambda outline: np.ptp(outline[:, 1]))
    assert stem[:, 0].mean() > dot[:, 0].mean()
    assert dot[:, 1].max() < stem[:, 1].max() - 10.0  # upright: the dot stands on the line


def test_the_arrow_points_up_on_the_wall():
    (arrow,) = text_outlines(engraved(disc(), height=10.0).hold, 0.4)
    tip = arrow[np.argmax(arrow[:, 1])]
    assert abs(tip[0] - arrow[:, 0].mean()) < 0.5
    wide = arrow[np.argmax(arrow[:, 0])]
    assert tip[1] > wide[1] > arrow[:, 1].min()


def test_letters_keep_clear_of_lands_and_screws():
    hold = disc()
    screw = CutScrewHoleParameters(place="at", at=(0.0, 5.0))
    hold = RelieveBack().apply(CutScrewHole().apply(hold, screw, RUN).hold, RelieveBackParameters(), RUN).hold
    outcome = engraved(hold, text="Overhang", revision="B", date="2026-11", size=True)
    written = made(outcome)
    middle, half = np.array([written.x, written.y]), np.array(written.size) / 2.0
    cut = box(*(middle - half), *(middle + half))
    (screw_hole,) = hold.find(ScrewHole)
    head = Point(screw_hole.x, screw_hole.y).buffer(screw_hole.hole.pocket_radius + 1.9)
    assert not cut.intersects(head)
    assert Point(0.0, 0.0).buffer(46.1, 256).contains(cut)  # land 12 mm, margin 2 mm
    assert written.top == pytest.approx(1.8)
    assert written.text[-1] == "120 \u00d7 120 \u00d7 40"


def test_too_long_a_text_is_made_smaller_or_left_out():
    small = engraved(disc(), text="W" * 12)
    assert codes(small)["letters_made_smaller"] == "note"
    assert made(small).height < 8.0
    none = engraved(disc(), text="W" * 60)
    assert codes(none) == {"no_room_to_engrave": "warning"}
    assert none.hold.whole.volume == disc().whole.volume


def test_fine_strokes_and_thin_places_are_told():
    assert codes(engraved(disc(), text="gb", height=4.0))["fine_strokes"] == "warning"
    flat = Hold(sized=True).with_whole(block(100.0, 80.0, 3.0))
    assert codes(engraved(flat, text="A", depth=1.5)) == {"thin_above_letters": "error"}
    assert codes(engraved(flat, text="A", depth=3.0)) == {"letters_break_through": "error"}


@pytest.mark.parametrize(
    ("parameters", "words"),
    [
        ({"text": "\u6f22"}, "the font has no"),
        ({"text": "A\tB"}, "the font has no"),
    ],
)
def test_letters_the_font_lacks_are_refused_in_one_sentence(parameters, words):
    with pytest.raises(ParameterError, match=words):
        engraved(disc(), **parameters)


def test_without_a_back_or_a_text_there_is_a_sentence():
    lifted = Hold(sized=True).with_whole(
        block(40.0, 40.0, 20.0).moved(np.array([[1.0, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 5.0], [0, 0, 0, 1]]))
    )
    with pytest.raises(GeometryError, match="no flat back"):
        engraved(lifted, text="A")
    assert codes(engraved(disc(), arrow=False)) == {"nothing_to_engrave": "note"}


def test_the_font_ships_with_its_licence():
    names = {path.name for path in (resource_folder() / "fonts").iterdir()}
    assert "LICENSE" in names


def test_size_and_hand_are_put_in_and_what_only_a_set_knows_is_told():
    outcome = engraved(disc(), text="{name}", revision="{size} {hand}", date="No {number}", height=5.0)
    assert made(outcome).text == ("M", "No")
    assert [each.message[:8] for each in outcome.findings if each.code == "placeholder_blank"] == [
        "{name} i",
        "{number}",
    ]
    mirrored = disc().moved(np.diag([-1.0, 1.0, 1.0, 1.0]))
    assert made(engraved(mirrored, text="{size} {hand}", height=5.0)).text == ("M mirrored",)
