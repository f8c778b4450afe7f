"""``holdwright joint``: whether the finished hold stays put on its wall."""

import argparse
import textwrap
from dataclasses import asdict
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from holdwright.cli.progress_bar import bar
from holdwright.cli.refusal import refusals_in_json
from holdwright.cli.replay import STRICT
from holdwright.cli.replay_arguments import SCULPT, add_recipe, asked_recipe, time_for
from holdwright.cli.text_format import any_error, finding_lines, findings_heading, json_text
from holdwright.joint.cautions import CAUTIONS

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from holdwright.catalogue.catalogue import Catalogue
    from holdwright.cli.child_supervisor import CommandWork
    from holdwright.hold.finding import Finding
    from holdwright.joint.conditions import Conditions
    from holdwright.joint.joint_card import JointCard
    from holdwright.joint.joint_shape import JointShape
    from holdwright.pipeline.place_view import PlaceView
    from holdwright.pipeline.recipe import Recipe
    from holdwright.pipeline.replay import Replay
    from holdwright.progress import Progress

OWN_ROWS = (
    "Your own rows go on top of the tables: name a TOML file or a folder of them in the environment variable "
    "HOLDWRIGHT_TABLES."
)


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = commands.add_parser(
        "joint",
        help="whether the finished hold stays put on its wall",
        description="Does a recipe's steps on a sculpt and reckons each bore's joint: preload, seat "
        "pressure, whether the hold turns, slips or lifts, the bolt's length, the torque, and the screws it "
        "needs.",
        epilog="\n".join([*_cautions(76), "", *textwrap.wrap(OWN_ROWS, 76)]),
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    add_recipe(parser)
    parser.add_argument("sculpt", metavar="SCULPT", type=Path, help=SCULPT)
    parser.add_argument("--json", action="store_true", help="print JSON")
    parser.add_argument("--torque", metavar="NM", type=float, help="tightening torque in N m (12)")
    parser.add_argument("--panel", metavar="MM", type=float, help="thickness of the panel in mm (18)")
    parser.add_argument(
        "--material", metavar="NAME", default="PETG", help="what the hold is printed in (PETG)"
    )
    parser.add_argument("--load", metavar="KG", type=float, help="mass of the climber in kg (80)")
    parser.add_argument("--factor", metavar="F", type=float, help="how many times the weight acts (2)")
    parser.add_argument("--overhang", metavar="DEG", type=float, help="how far the wall leans over (0)")
    parser.add_argument("--screw", metavar="NAME", help="try another screw than the hold is bored for")
    parser.add_argument("--washer", metavar="NAME", help="try another washer, or none")
    parser.add_argument(
        "--places", action="store_true", help="tell the best places for each bore too, and why"
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Replay the sculpt and print its joint cards."""
    from holdwright.cli.child_supervisor import contained

    with (
        refusals_in_json(arguments),
        contained(_prepare, arguments) as child,
        bar(arguments.sculpt.stem) as progress,
    ):
        told = child.do(0, progress, time_for(arguments.sculpt, arguments.time))
    print(told.text)
    return told.code


def _prepare(arguments: argparse.Namespace) -> "CommandWork":
    from holdwright.catalogue.catalogue import load_catalogue
    from holdwright.cli.child_supervisor import CommandResult
    from holdwright.files.reading import read_sculpt
    from holdwright.joint.findings import joint_findings
    from holdwright.joint.joint_card import joint_cards
    from holdwright.joint.joint_shape import joint_shape
    from holdwright.pipeline.replay import replay

    recipe, recipe_path = asked_recipe(arguments.recipe, arguments.unit, arguments.changes)
    catalogue = load_catalogue()
    wanted = _conditions(arguments, catalogue)

    def work(_: int, progress: "Progress") -> CommandResult:
        sculpt = read_sculpt(arguments.sculpt, progress.part(0.0, 0.2))
        replayed = replay(recipe, sculpt, catalogue=catalogue, progress=progress.part(0.2, 0.95))
        shape = joint_shape(replayed.hold)
        cards = joint_cards(shape, wanted, catalogue)
        findings = joint_findings(cards, catalogue)
        views = _places(recipe, replayed, catalogue, wanted) if arguments.places else {}
        code = STRICT if arguments.strict and any_error(findings) else 0
        if arguments.json:
            return CommandResult(_json(arguments, recipe_path, shape, cards, findings, views), code)
        heading = f"{arguments.sculpt.stem}: {_heading(wanted)}"
        return CommandResult(_text(heading, shape, cards, findings, views), code)

    return work


def _json(
    arguments: argparse.Namespace,
    recipe_path: Path,
    shape: "JointShape",
    cards: "Sequence[JointCard]",
    findings: "Sequence[Finding]",
    views: "Mapping[str, PlaceView | str]",
) -> str:
    from holdwright.joint.json_values import plain_joint
    from holdwright.pipeline.place_view import plain_places

    told = plain_joint(shape, cards)
    if arguments.places:
        told["best_places"] = [
            {"step": step, **({"refused": view} if isinstance(view, str) else plain_places(view))}
            for step, view in views.items()
        ]
    told["findings"] = [asdict(finding) for finding in findings]
    about = {"sculpt": arguments.sculpt.name, "recipe": recipe_path.stem, "refused": None}
    return json_text({**about, **told})


def _text(
    heading: str,
    shape: "JointShape",
    cards: "Sequence[JointCard]",
    findings: "Sequence[Finding]",
    views: "Mapping[str, PlaceView | str]",
) -> str:
    lines = [heading, *_shape_lines(shape)]
    lines += [line for card in cards for line in ("", *_card_lines(card))]
    lines += [line for step, view in views.items() for line in ("", *_place_lines(step, view))]
    lines += ["", f"  Findings: {findings_heading(findings)}"]
    lines += [f"  {line}" for line in finding_lines(findings)]
    return "\n".join([*lines, "", *_cautions()])


def _places(
    recipe: "Recipe", replayed: "Replay", catalogue: "Catalogue", wanted: "Conditions"
) -> "dict[str, PlaceView | str]":
    """Look the back over for each step that bores; where that is not done for its bore, say why."""
    from holdwright.errors import ParameterError
    from holdwright.hold.feature import Bore
    from holdwright.operations.cut_bore import CutBoreParameters
    from holdwright.pipeline.place_view import places_of

    views: dict[str, PlaceView | str] = {}
    parameters_of = {step.id: step.parameters for step in recipe.steps}
    for before, step in pairwise(step for step in replayed.results if step.enabled):
        parameters = parameters_of[step.id]
        if isinstance(parameters, CutBoreParameters):
            bore = step.hold.find(Bore)[-1]
            try:
                views[step.id] = places_of(before.hold, parameters, wanted, catalogue, (bore.x, bore.y))
            except ParameterError as refusal:
                views[step.id] = str(refusal)
    return views


def _place_lines(step: str, view: "PlaceView | str") -> list[str]:
    heading = f"  Best places of step {step}"
    if isinstance(view, str):
        return [heading, *textwrap.wrap(view, 96, initial_indent="    ", subsequent_indent="    ")]
    told = [*((str(number), found) for number, found in enumerate(view.best, start=1))]
    told += [("as it is", view.present)] if view.present is not None else []
    lines = [heading]
    for name, found in told:
        said = f"{name}: {found.place.x:.1f}, {found.place.y:.1f} mm. {found.reason}"
        lines += textwrap.wrap(said, 96, initial_indent="    ", subsequent_indent="      ")
    return lines


def _conditions(arguments: argparse.Namespace, catalogue: "Catalogue") -> "Conditions":
    from dataclasses import replace

    from holdwright.joint.conditions import conditions

    wanted = conditions(catalogue, arguments.material, arguments.panel)
    asked = {
        "torque": arguments.torque,
        "mass": arguments.load,
        "factor": arguments.factor,
        "overhang": arguments.overhang,
    }
    if arguments.screw is not None:
        wanted = replace(wanted, screw=catalogue.screw(arguments.screw))
    if arguments.washer is not None:
        bare = arguments.washer.strip().casefold() in ("none", "")
        washer = None if bare else catalogue.washer(arguments.washer)
        wanted = replace(wanted, washer=washer, bare=bare)
    return replace(wanted, **{name: value for name, value in asked.items() if value is not None})


def _heading(wanted: "Conditions") -> str:
    lean = f", wall leaning over by {wanted.overhang:g} degrees" if wanted.overhang else ""
    return (
        f"{wanted.material.name} on {wanted.panel.name}, {wanted.torque:g} N m, {wanted.mass:g} kg times "
        f"{wanted.factor:g} = {wanted.load.along:.0f} N along the wall{lean}"
    )


def _shape_lines(shape: "JointShape") -> list[str]:
    contact, worst = shape.contact, shape.reach
    place = ", ".join(f"{value:.1f}" for value in worst.arm_point)
    share = "" if contact.pressure.share > 0.9999 else f", {contact.pressure.share:.0%} of it pressed"
    return [
        f"  contact {contact.area / 100:.1f} cm2{share}; worst arm {worst.arm:.1f} mm, at {place} mm; "
        f"worst height {worst.height:.1f} mm"
    ]


def _card_lines(card: "JointCard") -> list[str]:
    window, bolt = card.window, card.bolt
    washer = card.hardware.washer.name if card.hardware.washer else "no washer"
    rows = [
        ("bolt", f"{card.bolt_name}, {card.hardware.strength.name}, {washer}, {card.hardware.t_nut.name}"),
        ("thread engaged", f"{bolt.engagement:.1f} mm, wanted {bolt.required:.1f} mm"),
        (
            "preload",
            f"{card.preload.low:.0f} to {card.preload.high:.0f} N, {card.preload.residual:.0f} N to stay",
        ),
        ("seat pressure", f"{card.seat_pressure.value:.1f} MPa, at most {card.seat_pressure.limit:.1f} MPa"),
        ("friction radius", f"{card.friction_radius.value:.1f} mm"),
        ("turning", f"{card.applied_torque.value:.1f} N m, friction {card.friction_torque.value:.1f} N m"),
        ("safety against spin", f"{card.spin.value:.2f}"),
        (
            "against slip, lift, tip",
            f"{card.slip.value:.2f}, {card.lift.value:.2f}, {card.overturning.value:.2f}",
        ),
        ("bolt tension", f"{card.bolt_tension.value:.0f} N, at most {card.bolt_tension.limit:.0f} N"),
        ("torque window", _range(window.range)),
        ("with screws", _range(window.range_with_screws)),
        *([("wood screws there", _screws_there(card))] if card.screws_there else []),
        ("more wood screws" if card.screws_there else "wood screws", _screws(card)),
    ]
    width = max(len(name) for name, _ in rows)
    at = f"  bore at {card.bore.x:.1f}, {card.bore.y:.1f} mm"
    return [at, *(f"    {name:<{width}}  {text}" for name, text in rows)]


def _range(pair: tuple[float, float] | None) -> str:
    return "none" if pair is None else f"{pair[0]:.1f} to {pair[1]:.1f} N m"


def _screws(card: "JointCard") -> str:
    if card.screws.value is None:
        return "needed, but the back has no room"
    if not card.screws.value:
        return "none needed"
    return f"{card.screws.value:g}, {card.screw_distance:.0f} mm from the bolt"


def _screws_there(card: "JointCard") -> str:
    levers = ", ".join(f"{each.lever:.0f}" for each in card.screws_there)
    return f"{len(card.screws_there)}, {levers} mm from the bolt, {card.screw_torque.value:.1f} N m together"


def _cautions(width: int = 100) -> list[str]:
    return [line for caution in CAUTIONS for line in textwrap.wrap(caution, width)]
