"""Walls by hand: a panel of 1000 by 800 mm with T-nuts every 200 mm from 100 mm on, and a hold 100 by 60."""

import errno
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from holdwright.cli.main import main
from holdwright.errors import ExportError, InputError, ParameterError, RecipeError
from holdwright.resources import sample_folder
from holdwright.wall.hanging_hold import HangingHold, hanging_holds
from holdwright.wall.hung import hung_holds
from holdwright.wall.spread import spread
from holdwright.wall.t_nut_grid import nearest_t_nut, next_t_nut, t_nuts
from holdwright.wall.wall_drawing import scale_for
from holdwright.wall.wall_file import ClimbingWall, load_wall
from holdwright.wall.wall_findings import wall_findings
from holdwright.wall.wall_plan import WallPlan, marked
from wall.hanging import BAR


def wall(*placed: dict[str, object], **others: object) -> ClimbingWall:
    grid = {"pitch_x": 200, "pitch_y": 200, "edge_x": 100, "edge_y": 100, **others.pop("t_nuts", {})}
    panels = {"width": 1000, "height": 800, **others.pop("panels", {})}
    return ClimbingWall.model_validate({"panels": panels, "t_nuts": grid, "placed": placed, **others})


def codes(of: ClimbingWall, **holds: HangingHold) -> list[str]:
    known = holds or {"bar": BAR}
    return [each.code for each in wall_findings(of, hung_holds(of, known))]


def test_t_nuts_are_counted_through_all_panels():
    places = t_nuts(wall(panels={"columns": 2, "rows": 2}))
    assert len(places) == 10 * 8
    assert places["A1"] == (100.0, 100.0)
    assert places["F1"] == (1100.0, 100.0)
    assert places["J8"] == (1900.0, 1500.0)
    staggered = t_nuts(wall(t_nuts={"stagger": True}))
    assert staggered["A2"] == (200.0, 300.0)
    # The fifth of a shifted row would stand on the panel's edge.
    assert "E2" not in staggered
    assert "E3" in staggered
    # On the next panel the row goes on with the letter of the rows that are not shifted.
    staggered = t_nuts(wall(t_nuts={"stagger": True}, panels={"columns": 2}))
    assert (staggered["F1"], staggered["F2"]) == ((1100.0, 100.0), (1200.0, 300.0))


def test_a_t_nut_is_found_by_place_and_by_the_one_beside_it():
    places = t_nuts(wall(t_nuts={"stagger": True}))
    assert nearest_t_nut(places, 290.0, 120.0) == "B1"
    assert [next_t_nut(places, "B1", way) for way in ((1, 0), (-1, 0), (0, -1))] == ["C1", "A1", "B1"]
    # A shifted row has one half a pitch to the left and one to the right: the right one is taken.
    assert next_t_nut(places, "B1", (0, 1)) == "B2"
    assert next_t_nut(places, "B2", (0, 1)) == "C3"
    assert next_t_nut(places, "E1", (1, 0)) == "E1"


def test_a_plan_takes_every_change_back_and_is_saved_whole(tmp_path: Path, monkeypatch):
    plan = WallPlan(wall({"hold": "bar", "t_nut": "B2"}), {"bar": (BAR, 3)})
    assert (plan.left, plan.is_changed, plan.can_undo) == ({"bar": 2}, False, False)
    for t_nut in ("C2", "C3", "B3"):
        plan.hang(1, t_nut, 200.0, "drag 1")
    assert (plan.hung[0].t_nut, plan.hung[0].turn) == ("B3", -160.0)
    assert plan.add("bar") == 2
    assert plan.findings == []
    plan.hang(2, "B3", 0.0)
    assert [each.code for each in plan.findings] == ["same_t_nut"]
    assert [marked(plan.findings, one) for one in plan.hung] == ["error", "error"]
    as_read = wall_findings(plan.wall, plan.hung)
    assert as_read == plan.findings, "what is known of pairs is what is found anew"
    plan.remove(1)
    assert (plan.left, plan.findings) == ({"bar": 2}, [])
    for _ in range(4):
        plan.undo()
    assert (plan.hung[0].t_nut, plan.can_undo, plan.is_changed) == ("B2", False, False)
    plan.redo()
    plan.redo()
    assert len(plan.hung) == 2
    path = tmp_path / "wall.json"
    plan.save(path)
    assert load_wall(path) == plan.wall
    before = path.read_bytes()
    plan.spread(3)
    assert plan.left == {}
    monkeypatch.setattr("os.fsync", _full)
    with pytest.raises(ExportError, match="No space left on device"):
        plan.save(path)
    assert (path.read_bytes(), plan.is_changed) == (before, True)
    assert [each.name for each in tmp_path.iterdir()] == ["wall.json"]


def test_another_grid_keeps_names_and_gives_back_what_came_off():
    plan = WallPlan(wall({"hold": "bar", "t_nut": "B2"}, {"hold": "bar", "t_nut": "E4"}), {"bar": (BAR, 2)})
    panels, grid = plan.wall.panels, plan.wall.t_nuts
    assert plan.change_grid(panels, grid.model_copy(update={"pitch_x": 150.0, "stagger": True})) == []
    assert [one.at for one in plan.hung] == [(100 + 150 + 75, 300), (100 + 4 * 150 + 75, 700)]
    assert plan.findings == wall_findings(plan.wall, plan.hung)
    for height, off in ((700.0, ["bar at E4"]), (300.0, ["bar at B2", "bar at E4"]), (790.0, [])):
        told = plan.change_grid(panels.model_copy(update={"height": height}), grid, "panels.height 1")
        assert told == off, "of steps in a row the last alone decides"
    assert (len(plan.hung), plan.places["E4"]) == (2, (900.0, 700.0))
    with pytest.raises(ParameterError, match="about 275,000 T-nuts, but 20,000 are the most"):
        plan.change_grid(
            panels.model_copy(update={"width": 9999.0, "columns": 50}),
            grid.model_copy(update={"pitch_x": 20.0, "pitch_y": 80.0}),
        )
    plan.name_set("made")
    plan.undo()
    plan.undo()
    assert (plan.wall.panels, plan.wall.t_nuts, plan.can_undo) == (panels, grid, False)
    assert (plan.is_changed, plan.wall.set_folder) == (True, "made"), "which set hangs there is not undone"


def _full(_descriptor: int) -> None:
    raise OSError(errno.ENOSPC, "No space left on device")


def test_a_hold_hangs_by_its_bore_and_turns_about_it():
    (one,) = hung_holds(wall({"hold": "bar", "t_nut": "B2", "turn": 90}), {"bar": BAR})
    assert one.bores.tolist() == [pytest.approx([300.0, 300.0])]
    # Its bore is 10 mm right of its middle: turned by 90 degrees the middle is 10 mm below the T-nut.
    assert one.outline.mean(axis=0) == pytest.approx([300.0, 290.0])
    assert one.screws.tolist() == [pytest.approx([300.0, 250.0]), pytest.approx([280.0, 335.0])]


def test_a_sound_place_has_no_findings():
    assert codes(wall({"hold": "bar", "t_nut": "B2"})) == []
    assert codes(wall({"hold": "bar", "t_nut": "B2"}, {"hold": "bar", "t_nut": "D3"})) == []


def test_each_fault_is_found():
    assert codes(wall({"hold": "bar", "t_nut": "A1"}, t_nuts={"edge_x": 55})) == [
        "beyond_wall",
        "screw_near_seam",
    ]
    assert codes(wall({"hold": "bar", "t_nut": "B2"}, {"hold": "bar", "t_nut": "B2"})) == ["same_t_nut"]
    near = {"pitch_x": 90, "edge_x": 90}
    assert "holds_overlap" in codes(
        wall({"hold": "bar", "t_nut": "B2"}, {"hold": "bar", "t_nut": "C2"}, t_nuts=near)
    )
    near = {"pitch_x": 102, "edge_x": 98}
    two = {"hold": "bar", "t_nut": "B2"}, {"hold": "bar", "t_nut": "C2"}
    assert "holds_near" in codes(wall(*two, t_nuts=near))
    assert codes(wall(*two, margins={"nearest": 250})) == ["bolts_near"]
    assert codes(wall(*two, margins={"reach": 150})) == ["out_of_reach", "out_of_reach"]
    assert codes(wall({"hold": "bar", "t_nut": "B2"}, panels={"thickness": 21})) == ["bolt_short"]
    assert codes(wall({"hold": "bar", "t_nut": "B2"}, panels={"thickness": 20})) == []
    assert codes(wall({"hold": "bar", "t_nut": "B2"}, t_nuts={"pitch_x": 50})) == ["screw_on_t_nut"]
    upright = replace(BAR, one_way_up=True)
    assert codes(wall({"hold": "bar", "t_nut": "B2", "turn": 20}), bar=upright) == ["turned_on_wall"]
    double = replace(BAR, bores=((0.0, 0.0), (201.0, 0.0)), screws=())
    assert codes(wall({"hold": "bar", "t_nut": "B2"}), bar=double) == ["bore_off_t_nut"]
    assert codes(wall({"hold": "bar", "t_nut": "B2"}), bar=replace(double, play=1.5)) == []
    assert codes(wall({"hold": "bar", "t_nut": "B2"}), bar=replace(BAR, bores=(), screws=())) == ["no_bore"]


def test_a_covered_t_nut_is_found():
    ring = np.array(
        [(-50, -50), (350, -50), (350, 100), (150, 100), (150, 90), (340, 90), (340, -40), (-50, -40)], float
    )
    hook = replace(BAR, outline=ring, bores=((-45.0, -45.0),), screws=())
    dot = replace(BAR, name="dot", outline=BAR.outline * 0.1, bores=((60.0, 0.0),), screws=())
    over = {"hold": "bar", "t_nut": "A2"}, {"hold": "dot", "t_nut": "C2"}
    found = codes(wall(*over), bar=replace(hook, bores=((-55.0, -45.0),)), dot=dot)
    assert "covers_t_nut" in found or "holds_overlap" in found


def test_what_a_wall_cannot_place_is_said():
    with pytest.raises(
        ParameterError, match="places jug, but the set has no such finished hold; it has: bar"
    ):
        hung_holds(wall({"hold": "jug", "t_nut": "A1"}), {"bar": BAR})
    with pytest.raises(ParameterError, match="T-nut Z9, but the wall has none of that name; it has A1 to E4"):
        hung_holds(wall({"hold": "bar", "t_nut": "Z9"}), {"bar": BAR})


def test_spreading_hangs_all_without_a_fault_and_the_same_by_the_same_seed():
    of = wall(panels={"columns": 2})
    hanging, left = spread(of, {"bar": (BAR, 9)}, 3)
    assert not left
    assert wall_findings(of, hanging) == []
    again, _ = spread(of, {"bar": (BAR, 9)}, 3)
    assert [one.entry for one in again] == [one.entry for one in hanging]
    other, _ = spread(of, {"bar": (BAR, 9)}, 4)
    assert [one.entry for one in other] != [one.entry for one in hanging]


def test_what_has_no_room_is_left_and_named():
    hanging, left = spread(wall(panels={"width": 300, "height": 300}), {"bar": (BAR, 8)}, 1)
    assert len(hanging) + len(left) == 8
    assert "bar" in left


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ('{"format": 1}', "holds no wall"),
        ('{"panels": {"width": 5}}', r"panels.width: must be at least 100"),
        ('{"placed": [{"hold": "a", "t_nut": "5C"}]}', r"placed\[0\].t_nut"),
        ('{"panels": {}, "pitch": 3}', r"pitch: is not known"),
        ("{", "is not JSON"),
    ],
)
def test_a_wrong_wall_is_said(tmp_path: Path, content, said):
    (tmp_path / "wall.json").write_text(content, "utf-8")
    with pytest.raises(RecipeError, match=said):
        load_wall(tmp_path / "wall.json")


def test_no_set_is_a_sentence(tmp_path, capsys):
    with pytest.raises(InputError, match="has no finished set; finish the set there"):
        hanging_holds(tmp_path)
    (tmp_path / "jug").mkdir()
    (tmp_path / "jug" / "jug.report.json").write_text("{}", "utf-8")
    with pytest.raises(InputError, match="only 1 hold of a set finished, not all of it"):
        hanging_holds(tmp_path)
    path = sample_folder() / "hall-corner.wall.json"
    assert main(["wall", str(path), str(tmp_path), "--out", str(tmp_path / "plan")]) == 3
    assert "finish the set there" in capsys.readouterr().err
    assert main(["wall", str(path), "--out", str(tmp_path / "plan")]) == 2
    assert "does not say which set hangs on it" in capsys.readouterr().err
    named = tmp_path / "named.wall.json"
    named.write_text('{"panels": {}, "set_folder": "jug"}', "utf-8")
    assert main(["wall", str(named), "--out", str(tmp_path / "plan")]) == 3
    assert f"{tmp_path / 'jug'} has no finished set" in capsys.readouterr().err
    assert not (tmp_path / "plan").exists()


def test_the_sample_wall_names_holds_of_the_sample_set():
    of = load_wall(sample_folder() / "hall-corner.wall.json")
    listed = json.loads((sample_folder() / "hall-wall.set.json").read_text("utf-8"))["holds"]
    assert len(of.placed) == sum(hold.get("count", 1) for hold in listed)
    assert all(each.t_nut in t_nuts(of) for each in of.placed)


def test_a_drawing_fits_its_paper():
    assert scale_for(wall(), 180.0, 240.0) == 10
    assert scale_for(wall(panels={"columns": 4, "rows": 2}), 180.0, 240.0) == 50
