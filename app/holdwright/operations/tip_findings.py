"""What the maker should know about sharp places and about the cuts that blunt them."""

from holdwright.geometry.tips.chamfer import SHARP_ANGLE, TipCutting
from holdwright.geometry.tips.tip_search import SharpEdge, Tip
from holdwright.hold.finding import Finding
from holdwright.hold.finding_builder import new_finding

LEAST_EDGE = 3.0
"""Sharp edges a cut leaves are reported from this length, mm."""

MOST_EDGES = 8
"""No more sharp edges of the sculpt than this are reported one by one."""


def edge_findings(edges: tuple[SharpEdge, ...], ball: float, limit: float) -> list[Finding]:
    """Report what is as sharp as a tip and is none; `ball` in mm, `limit` in degrees."""
    findings = [
        new_finding(
            "sharp_edge" if edge.length >= 2 * ball else "sharp_corner",
            edge.angle,
            limit,
            edge.place,
            length=edge.length,
        )
        for edge in edges[:MOST_EDGES]
    ]
    if len(edges) > MOST_EDGES:
        findings.append(new_finding("more_sharp_edges", float(len(edges) - MOST_EDGES)))
    return findings


def search_findings(left_out: float, ball: float) -> list[Finding]:
    """Report an incomplete search; `left_out` is a share of what may be sharp, 0 to 1, `ball` in mm."""
    return [new_finding("tips_not_all_searched", 100.0 * left_out, ball=ball)] if left_out > 0.0 else []


def cut_findings(tip: Tip, cutting: TipCutting | None, width: float, rim: float) -> list[Finding]:
    """Report what one cut left; `width` was requested, `rim` is the rim's height, both mm."""
    if cutting is None:
        return [new_finding("tip_gone", where=tip.place)]
    if cutting.removed == 0.0:
        return [new_finding("tip_not_cut", where=tip.place)]
    findings = []
    if tip.low and abs(float(cutting.normal @ tip.axis)) > 1.0 - 1e-9:
        findings.append(new_finding("low_tip_cut_square", where=cutting.place))
    if not cutting.reached:
        code = "flat_too_narrow:stopped" if cutting.stopped else "flat_too_narrow"
        findings.append(new_finding(code, cutting.width, width, cutting.place, depth=cutting.depth))
    edge = cutting.edge
    if edge is not None and edge.length >= LEAST_EDGE:
        left = new_finding("cut_leaves_sharp_edge", edge.angle, SHARP_ANGLE, edge.place, length=edge.length)
        findings.append(left)
    if cutting.lowest < rim or cutting.lowest <= 1e-6:
        code = "cut_reaches_back" if cutting.lowest <= 1e-6 else "cut_reaches_rim"
        findings.append(new_finding(code, cutting.lowest, rim, cutting.place))
    return findings
