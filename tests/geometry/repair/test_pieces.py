import os
from dataclasses import replace

import numpy as np
import pytest

from damage import tube
from holdwright import processes
from holdwright.errors import Cancelled
from holdwright.geometry.mesh.mesh import Mesh
from holdwright.geometry.mesh.sculpt import Piece
from holdwright.geometry.mesh.weld import welded
from holdwright.geometry.repair import pieces as pieces_module
from holdwright.geometry.repair.pieces import take_apart
from holdwright.geometry.repair.repair_account import Limits
from holdwright.operations.import_words import problem_of
from holdwright.progress import Progress
from sculpts import piece, sculpt
from shapes import block, boulder, sphere


def test_a_group_of_two_bodies_gives_two_named_pieces_largest_first():
    small, large = block(10, 10, 10), block(40, 40, 40)
    joined = Piece(
        "blobs",
        np.vstack([small.vertices + 200, large.vertices]),
        np.vstack([small.triangles, large.triangles + len(small.vertices)]),
    )
    pieces = take_apart(sculpt(joined))
    assert [each.name for each in pieces] == ["blobs/1", "blobs/2"]
    assert [each.solid.volume for each in pieces] == pytest.approx([64000, 1000])


def test_an_inside_out_piece_is_turned_outward():
    ball = boulder()
    (met,) = take_apart(sculpt(piece("ball", ball, inside_out=True)))
    assert met.turned
    assert met.solid.volume == pytest.approx(ball.volume, rel=1e-12)


def test_a_soup_of_loose_triangles_is_welded():
    box = block()
    corners = box.vertices[box.triangles].reshape(-1, 3)
    (met,) = take_apart(sculpt(Piece("soup", corners, np.arange(len(corners)).reshape(-1, 3))))
    assert met.solid.volume == pytest.approx(box.volume)


@pytest.mark.parametrize(
    ("spoil", "word"),
    [
        (lambda t: t[1:], "open edge"),
        (lambda t: np.vstack([t, t[:1]]), "shared by more than two"),
        (lambda t: np.vstack([t[:1, ::-1], t[1:]]), "look opposite ways"),
    ],
)
def test_a_piece_that_is_not_closed_says_why(spoil, word):
    box = block()
    (met,) = take_apart(sculpt(Piece("box", np.array(box.vertices), spoil(box.triangles))))
    assert met.solid is None
    assert word in problem_of(met)


def test_open_and_closed_bodies_of_one_group_are_told_apart():
    box, ball = block(), sphere()
    joined = Piece(
        "both",
        np.vstack([box.vertices, ball.vertices + 300]),
        np.vstack([box.triangles[1:], ball.triangles + len(box.vertices)]),
    )
    pieces = take_apart(sculpt(joined))
    assert sorted(each.solid is None for each in pieces) == [False, True]
    sound = next(each.solid for each in pieces if each.solid)
    assert sound.volume == pytest.approx(ball.volume)


def test_a_sheet_folded_on_itself_has_no_volume():
    corners = np.array([[0.0, 0, 0], [1, 0, 0], [0, 1, 0]])
    (met,) = take_apart(sculpt(Piece("sheet", corners, np.array([[0, 1, 2], [0, 2, 1]]))))
    assert met.solid is None


def test_welding_makes_minus_zero_and_zero_one_place():
    mesh = welded(Mesh(np.array([[0.0, 0, 0], [-0.0, 0, 0], [1, 0, 0]]), np.array([[0, 1, 2]])))
    assert len(mesh.vertices) == 2
    assert mesh.triangles.max() == 1


def test_groups_that_are_closed_only_together_are_joined():
    box, lone = block(), sphere()
    half = len(box.triangles) // 2
    pieces = take_apart(
        sculpt(
            Piece("wood", np.array(box.vertices), box.triangles[:half]),
            Piece("felt", np.array(box.vertices), box.triangles[half:]),
            piece("ball", lone),
            Piece("rag", box.vertices + 500, box.triangles[:3]),
        )
    )
    met = {each.name: each for each in pieces}
    assert set(met) == {"wood + felt", "ball", "rag"}
    assert met["wood + felt"].solid.volume == pytest.approx(box.volume)
    assert met["rag"].solid is None


def test_each_of_many_sheets_is_refused_as_it_would_be_alone():
    generator = np.random.default_rng(4)
    square = np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [1.0, 1.0, 0.1], [0.0, 1.0, 0.0]])
    places = generator.uniform(-300.0, 300.0, (200, 1, 3))
    triangles = np.array([[0, 1, 2], [0, 2, 3]]) + 4 * np.arange(200)[:, None, None]
    sheets = Piece("sheets", (square + places).reshape(-1, 3), triangles.reshape(-1, 3))
    pieces = take_apart(sculpt(sheets), limits=Limits(600.0))
    (alone,) = take_apart(sculpt(Piece("sheet", square, triangles[0])), limits=Limits(600.0))
    assert len(pieces) == 200
    assert {each.defect for each in pieces} == {alone.defect}


@pytest.fixture
def coils():
    turn = np.linspace(0.0, 3.0 * np.pi, 40)
    lines = {
        str(rise): np.stack([30 * np.cos(turn), 30 * np.sin(turn), rise * turn], axis=1)
        for rise in (0.5, 0.7, 0.9)
    }
    return sculpt(*(replace(tube(line, 6.0), name=name) for name, line in lines.items()))


@pytest.mark.skipif(not hasattr(os, "fork"), reason="copies of the process need fork")
def test_copies_of_the_process_part_pieces_to_the_last_digit_as_one_alone_does(coils, monkeypatch):
    limits = Limits(300.0, 1.0, None, open_back=False)
    alone = take_apart(coils, limits=limits)
    monkeypatch.setattr(processes, "_may_copy", lambda: True)
    monkeypatch.setattr(pieces_module, "_WORTH_COPIES", 0)
    told = []
    shared = take_apart(coils, Progress(lambda fraction, text: told.append((fraction, text))), limits)
    assert [piece.mending for piece in shared] == [piece.mending for piece in alone]
    assert all(
        (one.solid.vertices == other.solid.vertices).all()
        and (one.solid.triangles == other.solid.triangles).all()
        for one, other in zip(alone, shared, strict=True)
    )
    assert [fraction for fraction, _ in told] == sorted(fraction for fraction, _ in told)
    assert sum("parting" in text for _, text in told) == 3
    told.clear()
    copies: list[int] = []
    fork = os.fork

    def forked() -> int:
        copies.append(fork())
        return copies[-1]

    monkeypatch.setattr(os, "fork", forked)
    with pytest.raises(Cancelled):
        take_apart(
            coils,
            Progress(lambda _, text: told.append(text), lambda: any("parting" in text for text in told)),
            limits,
        )
    assert copies
    for copy in copies:
        with pytest.raises(ChildProcessError):
            os.waitpid(copy, os.WNOHANG)
