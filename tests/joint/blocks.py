"""A block of known figures, bored for bolts, and its joint cards."""

import dataclasses

import shapes
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore, Rim
from holdwright.hold.finding import Finding
from holdwright.hold.hold import Hold
from holdwright.joint.advice.findings import joint_findings
from holdwright.joint.advice.holding_findings import verdict
from holdwright.joint.card.joint_card import JointCard, joint_cards
from holdwright.joint.conditions import conditions
from holdwright.joint.holding.joint_shape import joint_shape

CATALOGUE = load_catalogue()
SCREW, WASHER = "M10 socket cap ISO 4762", "M10 large washer ISO 7093"


def bored(solid: Solid, *places: tuple[float, float], seat: float = 25.0) -> Hold:
    hold = Hold()
    bores = []
    for x, y in places:
        solid = cut_hole(solid, Hole(x, y, seat, 11.0, 31.0, 30.0)).solid
        bores.append(Bore(x, y, (0.0, 0.0, 1.0), 11.0, 31.0, seat, seat, SCREW, WASHER))
    return hold.with_whole(solid, Rim(2.0, 0.0, 0.0, 1.0, 1, 1), *bores)


def block(*places: tuple[float, float]) -> Hold:
    return bored(shapes.block(120.0, 100.0, 40.0), *(places or ((0.0, 0.0),)))


def cards(hold: Hold, **changes: object) -> tuple[JointCard, ...]:
    wanted = dataclasses.replace(conditions(CATALOGUE), **changes)
    return joint_cards(joint_shape(hold), wanted, CATALOGUE)


def codes(found: tuple[JointCard, ...]) -> set[str]:
    return {finding.code for finding in joint_findings(found)}


def judged(found: tuple[JointCard, ...]) -> Finding:
    finding = verdict(joint_findings(found))
    assert finding is not None
    return finding
