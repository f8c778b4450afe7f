"""``holdwright joint``: the bolted joint of the finished hold."""

import argparse
import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from itertools import pairwise, starmap

from holdwright.catalogue.catalogue import Catalogue, load_catalogue
from holdwright.cli.child_supervisor import CommandResult, CommandWork
from holdwright.cli.replaying import replaying, requested_recipe
from holdwright.cli.text_format import finding_lines, findings_heading, json_of, strict_code, wrapped
from holdwright.errors import GeometryError, ParameterError
from holdwright.hold.feature import BackPocket, Bore
from holdwright.hold.finding import Finding
from holdwright.joint.advice.findings import joint_findings
from holdwright.joint.advice.holding_findings import verdict
from holdwright.joint.advice.json_values import plain_joint
from holdwright.joint.advice.on_the_wall import SOURCE, wall_practice
from holdwright.joint.advice.relief_gain import ReliefGain, relief_gain
from holdwright.joint.card.clamped_hold import ENOUGH
from holdwright.joint.card.joint_card import JointCard, joint_cards
from holdwright.joint.conditions import Conditions, conditions
from holdwright.joint.figure import Figure
from holdwright.joint.holding.joint_shape import JointShape, joint_shape
from holdwright.operations.cut_bore import CutBoreParameters
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.replaying.joint_verdict import shell_fill, why_not_judged
from holdwright.pipeline.replaying.replay import Replay
from holdwright.pipeline.views.place_view import PlaceView, places_of, plain_places
from holdwright.printable import printable
from holdwright.ranges import two_digits


def prepare(arguments: argparse.Namespace) -> CommandWork:
    """Prepare to compute the joint."""
    catalogue = load_catalogue()
    recipe, _ = requested_recipe(arguments)
    requested = _conditions(recipe, arguments, catalogue)

    def report(replayed: Replay) -> CommandResult:
        if replayed.joint is None:
            raise GeometryError(why_not_judged(replayed.hold))
        shape = replayed.joint.shape or joint_shape(replayed.hold)
        cards = joint_cards(shape, requested, catalogue)
        findings = joint_findings(cards)
        views = _places(recipe, replayed, catalogue, requested) if arguments.places else {}
        if arguments.json:
            places = {"best_places": list(starmap(_plain_places, views.items()))} if arguments.places else {}
            content = {**plain_joint(shape, cards), **places, "cautions": list(replayed.cautions)}
            decides, told = verdict(findings), [asdict(each) for each in findings]
            content |= {"verdict": decides.code if decides else None, "findings": told}
            text = json_of(arguments, None, content)
        else:
            heading = f"{printable(arguments.sculpt.stem)}: {_heading(requested)}"
            shown = (cards[0].spin.value or 0.0) < ENOUGH and not replayed.hold.find(BackPocket)
            gain = relief_gain(shape, requested, catalogue) if shown else None
            lines = [heading, *_verdict_lines(findings, gain)]
            text = _text(lines, shape, cards, findings, views, replayed.cautions)
        return CommandResult(text, strict_code(arguments, findings))

    return replaying(recipe, arguments.sculpt, catalogue, report)


def _verdict_lines(findings: Sequence[Finding], gain: ReliefGain | None) -> list[str]:
    decides = verdict(findings)
    said = [decides.message] if decides else []
    if gain is not None and gain.before < min(ENOUGH, gain.after):
        said.append(f"Safety against turning by {gain.sentence}.")
    return [
        line for each in said for line in textwrap.wrap(each, 96, initial_indent="  ", subsequent_indent="  ")
    ]


def _text(
    heading: Sequence[str],
    shape: JointShape,
    cards: Sequence[JointCard],
    findings: Sequence[Finding],
    views: Mapping[str, PlaceView | str],
    cautions: Sequence[str],
) -> str:
    assumed = textwrap.wrap(cards[0].conditions.assumptions, 96, initial_indent="  ", subsequent_indent="  ")
    lines = [*heading, *assumed, *_shape_lines(shape, cards[0].conditions)]
    lines += [line for card in cards for line in ("", *_card_lines(card))]
    lines += [line for step, view in views.items() for line in ("", *_place_lines(step, view))]
    lines += ["", f"  Findings: {findings_heading(findings)}"]
    lines += [f"  {line}" for line in finding_lines(findings)]
    lines += ["", f"  On the wall ({SOURCE})"]
    for title, sentence in wall_practice(cards[0]):
        lines += textwrap.wrap(f"{title}. {sentence}", 96, initial_indent="    ", subsequent_indent="      ")
    return "\n".join([*lines, "", *wrapped(*cautions)])


def _places(
    recipe: Recipe, replayed: Replay, catalogue: Catalogue, requested: Conditions
) -> dict[str, PlaceView | str]:
    """Look the back over for each step that bores; where that is not done for its bore, say why."""
    views: dict[str, PlaceView | str] = {}
    parameters_of = {step.id: step.parameters for step in recipe.steps}
    for before, step in pairwise(step for step in replayed.results if step.enabled):
        parameters = parameters_of[step.id]
        if isinstance(parameters, CutBoreParameters):
            bore = step.hold.find(Bore)[-1]
            try:
                views[step.id] = places_of(before.hold, parameters, requested, catalogue, (bore.x, bore.y))
            except ParameterError as refusal:
                views[step.id] = str(refusal)
    return views


def _plain_places(step: str, view: PlaceView | str) -> dict[str, object]:
    return {"step": step, **({"refused": view} if isinstance(view, str) else plain_places(view))}


def _place_lines(step: str, view: PlaceView | str) -> list[str]:
    heading = f"  Best places of step {step}"
    if isinstance(view, str):
        return [heading, *textwrap.wrap(view, 96, initial_indent="    ", subsequent_indent="    ")]
    places = [*((str(number), found) for number, found in enumerate(view.best, start=1))]
    places += [("as it is", view.present)] if view.present is not None else []
    lines = [heading]
    for name, found in places:
        text = f"{name}: {found.place.x:.1f}, {found.place.y:.1f} mm. {found.reason}"
        lines += textwrap.wrap(text, 96, initial_indent="    ", subsequent_indent="      ")
    return lines


def _conditions(recipe: Recipe, arguments: argparse.Namespace, catalogue: Catalogue) -> Conditions:
    requested = conditions(catalogue, recipe.joint, arguments.thickness, shell_fill(recipe.print))
    if arguments.screw is not None:
        requested = replace(requested, screw=catalogue.screw(arguments.screw))
    if arguments.washer is not None:
        bare = arguments.washer.strip().casefold() in ("none", "")
        washer = None if bare else catalogue.washer(arguments.washer)
        requested = replace(requested, washer=washer, bare=bare)
    return requested


def _heading(requested: Conditions) -> str:
    lean = f", overhang {requested.overhang:g} degrees" if requested.overhang else ""
    hold = f"{requested.material.name} on {requested.panel.name}"
    return f"{hold}, {requested.torque:g} N m, {requested.load_name}{lean}"


def _shape_lines(shape: JointShape, requested: Conditions) -> list[str]:
    contact, worst = shape.contact, requested.mounted(shape.reach)
    place = ", ".join(f"{value:.1f}" for value in worst.arm_point)
    share = "" if contact.pressure.share > 0.9999 else f", {contact.pressure.share:.0%} of it under pressure"
    return [
        f"  contact {contact.area / 100:.1f} cm2{share}; worst arm {worst.arm:.1f} mm, at {place} mm; "
        f"worst height {worst.height:.1f} mm"
    ]


def _card_lines(card: JointCard) -> list[str]:
    bolt = card.bolt
    washer = card.hardware.washer.name if card.hardware.washer else "no washer"
    rows = [
        ("bolt", f"{card.bolt_name}, {card.hardware.strength.name}, {washer}, {card.hardware.t_nut.name}"),
        ("thread engaged", f"{bolt.engagement:.1f} mm at worst, required {bolt.required:.1f} mm"),
        ("bolt stands out", f"{_words(card.stand_out)} mm behind the panel"),
        ("key", f"{card.hardware.screw.key:g} mm, {card.tool_reach.value:.0f} mm deep"),
        (
            "T-nut's flange",
            f"{_words(card.flange_pressure)} MPa, at most {card.flange_pressure.limit:.1f} MPa",
        ),
        ("T-nut's pull", f"{_words(card.pull_through)} N, at most {card.pull_through.limit:.0f} N"),
        (
            "preload",
            f"{card.preload.tightened.in_words} N, residual {card.preload.residual.in_words} N",
        ),
        ("seat pressure", f"{_words(card.seat_pressure)} MPa, at most {card.seat_pressure.limit:.1f} MPa"),
        ("greatest seat pressure", f"{_words(card.seat_peak)} MPa"),
        ("friction radius", f"{_words(card.friction_radius)} mm"),
        (
            "turning",
            f"{_words(card.applied_torque)} N m, friction {_words(card.friction_torque)} N m",
        ),
        *((f"safety against {name}", _words(figure)) for name, figure in _safeties(card)),
        (
            "against spin under",
            ", ".join(f"{case.name} {two_digits(held.spin.likely)}" for case, held in card.cases),
        ),
        (
            "bolt tension",
            f"{_words(card.bolt_tension)} N, at most {two_digits(card.bolt_tension.limit or 0.0)} N",
        ),
        *_torques(card),
        *([("wood screws set", _screws_set(card))] if card.existing_screws else []),
        ("more wood screws" if card.existing_screws else "wood screws", _screws(card)),
    ]
    width = max(len(name) for name, _ in rows)
    at = f"  bore at {card.bore.x:.1f}, {card.bore.y:.1f} mm"
    return [at, *(f"    {name:<{width}}  {text}" for name, text in rows)]


def _torques(card: JointCard) -> tuple[tuple[str, str], ...]:
    """Give the usable torques, as the hold is and with the wood screws that it still needs."""
    as_it_is, with_further = card.window.range, card.window.range_with_screws
    if not card.existing_screws:
        return ("torque, friction alone", _range(as_it_is)), ("torque with screws", _range(with_further))
    further = (("torque with more screws", _range(with_further)),) if card.screws.value else ()
    return ("torque with its screws", _range(as_it_is)), *further


def _safeties(card: JointCard) -> tuple[tuple[str, Figure], ...]:
    return ("spin", card.spin), ("slip", card.slip), ("lift", card.lift), ("overturning", card.overturning)


def _words(figure: Figure) -> str:
    return figure.range.in_words if figure.range else two_digits(figure.value or 0.0)


def _range(pair: tuple[float, float] | None) -> str:
    return "none that is enough" if pair is None else f"{pair[0]:.1f} to {pair[1]:.1f} N m"


def _screws(card: JointCard) -> str:
    if card.screws.value is None:
        return "needed, but no room on the back"
    if not card.screws.value:
        return "none needed"
    count, screws = int(card.screws.value), card.further_screws
    levers = ", ".join(f"{each.lever:.0f}" for each in screws[:count])
    length = max(each.length for each in screws[:count])
    size = f"{screws[0].row.name}, {length:g} mm long"
    return f"{count} of {size}, {levers} mm from the bolt ({len(screws)} have room)"


def _screws_set(card: JointCard) -> str:
    levers = ", ".join(f"{each.lever:.0f}" for each in card.existing_screws)
    return (
        f"{len(card.existing_screws)}, {levers} mm from the bolt, {card.screw_torque.value:.1f} N m together"
    )
