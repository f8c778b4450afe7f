"""The cases that `measures` takes: recipes on samples and real meshes, and commands."""

import json
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent.parent
SAMPLES = ROOT / "sample_data"
MESHES = ROOT.parent / "shared" / "meshes"
FINISHING = ("cut_screw_hole", "relieve_back")
ENDINGS = (".obj", ".stl", ".ply", ".3mf", ".glb", ".gltf")


def starter_with(folder: Path, *steps: dict[str, Any]) -> str:
    """Write the starter recipe, with further steps before the last, into a file of that folder.

    Its own screws and relieved back are left out, so that each case measures what it is about.
    """
    content = json.loads((ROOT / "resources" / "recipes" / "starter.json").read_text("utf-8"))
    content["steps"] = [step for step in content["steps"] if step["operation"] not in FINISHING]
    for number, step in enumerate(steps, start=8):
        content["steps"].insert(-1, {"id": f"s{number}", "enabled": True, **step})
    path = folder / f"starter-{len(list(folder.glob('starter-*')))}.json"
    path.write_text(json.dumps(content), "utf-8")
    return str(path)


def screw(**parameters: Any) -> dict[str, Any]:
    """Give a step that cuts a screw hole."""
    return {"operation": "cut_screw_hole", "version": 1, "parameters": parameters}


HEXAGON, COUNTERSUNK = "M10 hex ISO 4017", "M10 countersunk socket ISO 10642"
BARE, NO_TIPS = ["s6.washer=null"], ["s5.limit=10"]

VARIANTS: dict[str, tuple[str, list[str]]] = {
    "bore at": ("jug", ["s6.place=at", "s6.at=[8,-12]"]),
    "bore off the middle": ("sloper", ["s6.place=at", "s6.at=[-25,14]"]),
    "bore leaning": ("jug", ["s6.tilt=10", "s6.toward=60"]),
    "bore leaning at": ("sloper", ["s6.place=at", "s6.at=[4,3]", "s6.tilt=14", "s6.toward=-100"]),
    "row of two": ("sloper", ["s3.diameter=240", "s6.count=2", "s6.pitch=70", "s6.row_toward=15"]),
    "row at": ("crimp", ["s3.diameter=200", "s6.place=at", "s6.count=2", "s6.pitch=60", "s6.wall=5"]),
    "slot": ("jug", ["s6.hole=slot", "s6.slot=8", "s6.slot_toward=30"]),
    "first round": ("sloper", ["s3.diameter=240", "s6.count=2", "s6.pitch=70", "s6.hole=first round"]),
    "countersunk": ("sloper", [f"s6.screw={COUNTERSUNK}", *BARE]),
    "countersunk leaning slot": (
        "sloper",
        [f"s6.screw={COUNTERSUNK}", *BARE, "s6.hole=slot", "s6.tilt=6", "s6.toward=200"],
    ),
    "hexagon head": ("jug", [f"s6.screw={HEXAGON}", "s6.fit=coarse"]),
    "lying print": ("jug", ["s6.printed=on its edge", "s6.place=at"]),
    "front print": ("sloper", ["s6.printed=on its front", "s6.hole_allowance=0.3", "s6.place=at"]),
    "seat by depth": ("sloper", ["s6.seat=depth", "s6.depth=25", "s6.place=at"]),
    "seat by thickness": ("jug", ["s6.seat=thickness", "s6.under_seat=15", "s6.place=at"]),
    "tips 60": ("jug", ["s5.limit=60", "s6.place=at"]),
    "tips 95": ("crimp", ["s5.limit=95", "s5.width=6", "s6.place=at"]),
    "tips 110": ("jug-revised", ["s5.limit=110", "s5.ball=6", "s6.place=at"]),
    "tips picked": ("jug", ["s5.tips=both", 's5.picks=[{"point":[0,30,50]}]', "s6.place=at"]),
    "no tips": ("jug", [*NO_TIPS, "s6.place=at"]),
    "chamfered back": ("jug", ["s4.chamfer=1.5", "s4.allowance=1", "s6.place=at"]),
    "no rim": ("sloper", ["s4.rim=0", "s4.by=height", "s4.height=8", "s6.place=at"]),
    "by face": (
        "jug",
        ["s2.by=face", 's2.face={"point":[190,1150,-443],"normal":[0,0,-1]}', "s6.place=at", "s2.turn=20"],
    ),
    "by plane": (
        "jug",
        ["s2.by=plane", 's2.plane={"point":[190,1150,-430],"normal":[0,0.1,1]}', "s6.place=at"],
    ),
    "second back": ("jug", ["s1.ground_block=keep", "s2.rank=2", "s6.place=at"]),
    "no such back": ("crimp", ["s2.rank=5", "s6.place=at"]),
    "box": ("jug", ["s3.rule=box", "s3.box_x=90", "s3.box_y=110", "s3.box_z=45", "s6.place=at"]),
    "depth and shrinkage": ("sloper", ["s3.rule=depth", "s3.length=50", "s3.shrinkage_percent=1"]),
    "metres": ("jug", ["s1.unit=m", "s3.rule=factor", "s1.ground_block=keep", "s6.place=at"]),
    "core at a point": (
        "sloper",
        ["s7.along=point", "s7.at=[10,5]", "s7.wall_diameter=60", "s7.height=18", "s6.place=at"],
    ),
    "core by diameters": ("sloper", ["s7.wall_diameter=70", "s7.top_diameter=50", "s6.place=at"]),
    "core narrow": ("crimp", ["s7.wall_diameter=12.2", "s7.top_diameter=2", "s6.place=at"]),
}
"""For each, the sample, and what is set beside the starter recipe."""


def with_screws(folder: Path) -> dict[str, tuple[str, str, list[str]]]:
    """Give the variants with screw holes: sample, recipe, and what is set."""
    one, picked = starter_with(folder, screw()), starter_with(folder, screw(place="at", at=[30, -10]))
    leaning = starter_with(folder, screw(place="at", at=[-34, 0], tilt=20, toward=180))
    two = starter_with(folder, screw(), screw(screw="4 mm countersunk wood screw"))
    return {
        "screw found": ("jug", one, ["s6.place=at"]),
        "screw found beside a found bore": ("sloper", one, []),
        "screw at": ("jug", picked, ["s6.place=at"]),
        "screw leaning": ("sloper", leaning, ["s6.place=at", "s7.collar_diameter=18"]),
        "two screws": ("sloper", two, ["s6.place=at", "s8.wall=4", "s9.wall=4", "s9.edge=10"]),
    }


def commands(starter: str) -> dict[str, list[str]]:
    """Give the commands whose JSON is compared."""
    jug, crimp, sloper = (str(SAMPLES / f"hall-{name}.obj") for name in ("jug", "crimp", "sloper"))
    joint = ["joint", "starter", "--json", "--places"]
    return {
        "replay": ["replay", "starter", jug, "--format", "stl,3mf,obj,ply"],
        "replay with screws": ["replay", starter, sloper, "--set", "s6.place=at", "--format", "ply"],
        "joint": [*joint, jug],
        "joint otherwise": [
            *(*joint, sloper, "--torque", "20", "--panel", "21", "--material", "PLA", "--load", "95"),
            *("--overhang", "35", "--set", "s6.wall=6", "--set", "s3.diameter=150"),
        ],
        "joint of a row": [*joint, sloper, "--set", "s6.count=2", "--set", "s6.pitch=60"],
        "check": ["check", "starter", "--json", crimp],
        "inspect": ["inspect", "--json", crimp],
        "operations": ["operations", "--schema"],
    }


def cases(quick: bool, folder: Path) -> dict[str, dict[str, Any]]:
    """Give every case by its name; the recipes they need are written into the folder."""
    starter, screws = starter_with(folder), with_screws(folder)
    shared = [] if quick else sorted(path for path in MESHES.rglob("*") if path.suffix.lower() in ENDINGS)
    if not quick and not shared:
        print(f"There are no meshes in {MESHES}: samples alone.", file=sys.stderr)
    named = {path.stem.removeprefix("hall-"): path for path in sorted(SAMPLES.glob("*.obj"))}
    variants = {what: (name, starter, changes) for what, (name, changes) in VARIANTS.items()} | screws
    replays = {f"sample {name}": (path, starter, []) for name, path in named.items()}
    replays |= {f"variant {what}": (named[name], *rest) for what, (name, *rest) in variants.items()}
    replays |= {f"mesh {path.relative_to(MESHES)}": (path, starter, []) for path in shared}
    with_screw = screws["screw found"][1]
    return {
        **{
            name: {"sculpt": str(path), "recipe": recipe, "changes": changes}
            for name, (path, recipe, changes) in replays.items()
        },
        **{f"command {what}": {"command": line} for what, line in commands(with_screw).items()},
    }
