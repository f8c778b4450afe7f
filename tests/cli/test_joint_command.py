"""``holdwright joint``, on a sculpt that is finished in a few quick steps."""

import json
from pathlib import Path

import numpy as np
import pytest
import trimesh

import shapes
from cli.runs import Run

STEPS = [
    ("import_sculpt", {"unit": "mm"}),
    ("trim_base", {}),
    ("cut_bore", {"place": "at", "at": [0.0, 0.0], "seat": "thickness", "under_seat": 25.0}),
]


@pytest.fixture
def files(tmp_path: Path) -> tuple[Path, Path]:
    recipe = tmp_path / "plain.json"
    steps = [
        {"id": f"s{number}", "operation": name, "parameters": parameters}
        for number, (name, parameters) in enumerate(STEPS, start=1)
    ]
    recipe.write_text(json.dumps({"format": 1, "steps": steps}))
    solid = shapes.block(120.0, 100.0, 60.0)
    sculpt = tmp_path / "brick.stl"
    trimesh.Trimesh(solid.vertices, solid.triangles, process=False).export(sculpt)
    return recipe, sculpt


def test_the_best_places_in_words_and_as_json(run: Run, files: tuple[Path, Path]) -> None:
    code, out, _ = run("joint", *files, "--places")
    assert code == 0
    assert "Best places of step " in out
    assert "Here the least margin is" in " ".join(out.split())
    code, out, _ = run("joint", *files, "--places", "--json")
    (told,) = json.loads(out)["best_places"]
    best, present = told["best"][0], told["present"]
    assert best["margin"] >= present["margin"] - 0.02
    assert min(best["ratios"].values()) == pytest.approx(best["margin"])
    assert {"thickness", "wall_at_bore", "edge", "access", "spin", "lift"} <= set(best["ratios"])


def test_rows_and_slots_get_a_sentence_in_place_of_places(run: Run, files: tuple[Path, Path]) -> None:
    words = ("--places", "--set", "cut_bore.hole=slot")
    code, out, _ = run("joint", *files, *words)
    assert code == 0
    assert "leave the place of a row of bores, of a slot or of a leaning bore to the step" in " ".join(
        out.split()
    )
    code, out, _ = run("joint", *files, *words, "--json")
    (told,) = json.loads(out)["best_places"]
    assert "one round bore" in told["refused"]


def test_the_card_in_words(run: Run, files: tuple[Path, Path]) -> None:
    code, out, _ = run("joint", *files, "--torque", 10)
    assert code == 0
    for wanted in ("friction radius", "torque with", "wood screws", "seat pressure", "Findings:"):
        assert wanted in out
    assert "not a test to any standard" in " ".join(out.split())
    assert "EN 12572-3" in out


def test_the_card_as_json_recomputed(run: Run, files: tuple[Path, Path]) -> None:
    words = ("--json", "--torque", 10, "--panel", 15, "--material", "PLA", "--load", 60, "--factor", 1.5)
    code, out, _ = run("joint", *files, *words)
    assert code == 0
    told = json.loads(out)
    (bore,) = told["bores"]
    load = 60 * 9.80665 * 1.5
    assert told["conditions"]["along_N"] == pytest.approx(load, rel=1e-5)
    assert bore["preload_N"] == pytest.approx([10_000 / 3.0, 10_000 / 1.5], rel=1e-5)
    assert bore["seat_pressure_MPa"] == pytest.approx(5000.0 / (np.pi / 4 * (30**2 - 11**2)), rel=1e-5)
    # The likely nut factor is 0.2, friction 0.35; 0.4 of the preload stays, and 0.2 of the load acts outward.
    clamp = 0.4 * 10_000 / 2.0 - 0.2 * load
    assert bore["friction_torque_Nm"] == pytest.approx(
        0.35 * clamp * bore["friction_radius_mm"] / 1000, rel=1e-4
    )
    assert bore["applied_torque_Nm"] == pytest.approx(load * told["worst_points"]["arm_mm"] / 1000, rel=1e-4)
    assert bore["spin_safety"] == pytest.approx(
        bore["friction_torque_Nm"] / bore["applied_torque_Nm"], rel=1e-4
    )
    assert bore["slip_safety"] == pytest.approx(0.35 * clamp / load, rel=1e-4)
    low, high = bore["ranges"]["slip_safety"]
    assert low == pytest.approx(0.25 * (0.3 * 10_000 / 3.0 - 0.2 * load) / load, rel=1e-4)
    assert low < bore["slip_safety"] < high
    assert [case["name"] for case in bore["load_cases"]][:3] == ["child", "adult", "heavy adult"]
    # At worst 25.3, washer 2.7, panel 15.65 less the barrel's 14, 1.5 of end: 31.15, and the bolt 39.5.
    assert bore["bolt"]["name"] == "M10 socket cap ISO 4762 x 40"
    assert (bore["bolt"]["length_mm"], bore["bolt"]["engagement_mm"]) == pytest.approx((40.0, 8.35), abs=0.03)
    assert set(told) >= {"sculpt", "recipe", "conditions", "bores", "findings", "cautions"}


def test_trying_other_hardware(run: Run, files: tuple[Path, Path]) -> None:
    _, out, _ = run("joint", *files, "--json", "--washer", "none")
    assert json.loads(out)["bores"][0]["washer"] is None
    code, out, _ = run("joint", *files, "--washer", "none", "--strict")
    assert code == 5
    assert "[seat_overloaded]" in out
    _, out, _ = run("joint", *files, "--json", "--screw", "M10 hex", "--washer", "7089 M10")
    assert json.loads(out)["bores"][0]["screw"] == "M10 hex ISO 4017"


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        (("--torque", 0), "Torque: must be more than 0 N m"),
        (("--material", "cheese"), "material 'cheese' was requested"),
        (("--screw", "M10 cheese"), "screw 'M10 cheese' was requested"),
        (("--panel", 8), "barrel of 14 mm was asked for in a panel of 8 mm"),
        (("--factor", -1), "Load factor: must be more than 0"),
    ],
)
def test_what_makes_no_sense_is_refused_in_a_sentence(
    run: Run, files: tuple[Path, Path], words: tuple[object, ...], wanted: str
) -> None:
    code, out, error = run("joint", *files, *words)
    assert code == 2
    assert out == ""
    assert wanted in error


def test_a_hold_without_a_bore(run: Run, files: tuple[Path, Path]) -> None:
    recipe = json.loads(files[0].read_text())
    recipe["steps"].pop()
    files[0].write_text(json.dumps(recipe))
    code, _, error = run("joint", *files)
    assert code == 4
    assert "no bore" in error
