"""Names and patterns of pieces, as the step reads them and as the window edits them."""

import pytest

from holdwright.parameters.piece_names import matches, matches_any, without


@pytest.mark.parametrize(
    ("pattern", "piece", "meant"),
    [
        ("clay", "clay", True),
        ("clay", "clay 2", False),
        ("clay*", "clay 2", True),
        ("Clay", "clay", False),
        ("group", "group/a", True),
        ("gr*", "group/a", True),
        ("group/a", "group/b", False),
        ("blob[1]", "blob[1]", True),
        ("blob[1]", "blob1", True),
        ("blob[1]", "blob[2]", False),
        ("set[1]", "set[1]/a", True),
    ],
)
def test_a_pattern_means_the_piece_or_its_group(pattern, piece, meant):
    assert matches(pattern, piece) is meant


def test_one_of_several_is_enough():
    assert matches_any(("clay", "gr*"), "group/a")
    assert not matches_any(("clay", "gr*"), "peg")
    assert not matches_any((), "peg")


def test_patterns_give_way_to_the_other_pieces_they_meant():
    pieces = ("clay", "group/a", "group/b", "group/c")
    assert without(("clay",), "clay", pieces) == ()
    assert without(("group",), "group/b", pieces) == ("group/a", "group/c")
    assert without(("clay", "group/*"), "clay", pieces) == ("group/*",)
    assert without(("group/*", "*/a"), "group/b", pieces) == ("*/a", "group/c")
    assert without(("blob*",), "blob[1]", ("blob[1]", "blob[2]")) == ("blob[2]",)
