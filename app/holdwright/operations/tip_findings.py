"""What the maker should know about sharp places and about the cuts that blunt them."""

from holdwright.geometry.tips.chamfer import SHARP_ANGLE, TipCutting
from holdwright.geometry.tips.tip_search import SharpEdge, Tip
from holdwright.hold.finding import Finding, point

LEAST_EDGE = 3.0
"""Sharp edges a cut leaves are reported from this length, mm."""

MOST_EDGES = 8
"""No more sharp edges of the sculpt than this are reported one by one."""


def edge_findings(edges: tuple[SharpEdge, ...], ball: float, limit: float) -> list[Finding]:
    """Report what is as sharp as a tip and is none; `ball` in mm, `limit` in degrees."""
    findings = []
    for edge in edges[:MOST_EDGES]:
        long = edge.length >= 2 * ball
        what = f"A sharp edge about {edge.length:.0f} mm long" if long else "A corner on a sharp edge"
        findings.append(
            Finding(
                "sharp_edge" if long else "sharp_corner",
                "warning" if long else "note",
                f"{what} is as sharp as a cone of {edge.angle:.0f} deg; it is not a tip and not cut.",
                measured=edge.angle,
                limit=limit,
                unit="deg",
                where=point(edge.place),
                advice="Round it in the sculpt, or pick it as a tip.",
            )
        )
    if len(edges) > MOST_EDGES:
        findings.append(
            Finding(
                "more_sharp_edges",
                "note",
                f"{len(edges) - MOST_EDGES} more, shorter sharp edges and corners are not listed.",
                measured=float(len(edges) - MOST_EDGES),
            )
        )
    return findings


def search_findings(left_out: float, ball: float) -> list[Finding]:
    """Say when not all was searched; `left_out` is a share of what may be sharp, 0 to 1, `ball` in mm."""
    if left_out == 0.0:
        return []
    return [
        Finding(
            "tips_not_all_searched",
            "warning",
            f"The hold is large beside a ball of {ball:g} mm: {100.0 * left_out:.0f} % of the places that "
            "may be sharp were not searched for tips.",
            measured=100.0 * left_out,
            limit=0.0,
            unit="%",
            advice="Take a larger ball or a smaller angle, or look the hold over and pick its tips.",
        )
    ]


def cut_findings(tip: Tip, cutting: TipCutting | None, width: float, rim: float) -> list[Finding]:
    """Say what deserves a look about one cut; `width` was wanted, `rim` is the rim's height, both mm."""
    if cutting is None:
        return [
            Finding(
                "tip_gone",
                "note",
                "A tip was already taken away with the one beside it.",
                where=point(tip.place),
            )
        ]
    if cutting.removed == 0.0:
        return [
            Finding(
                "tip_not_cut",
                "warning",
                "A tip was not cut: the plane would also take away another part of the hold.",
                where=point(tip.place),
                advice="Round it in the sculpt.",
            )
        ]
    findings = []
    if tip.low and abs(float(cutting.normal @ tip.axis)) > 1.0 - 1e-9:
        findings.append(
            Finding(
                "low_tip_cut_square",
                "note",
                "A low tip was cut square to itself: at the wall angle, more would have gone with it.",
                where=point(cutting.place),
            )
        )
    return (
        findings
        + _width_findings(cutting, width)
        + _left_edge_findings(cutting)
        + _rim_findings(cutting, rim)
    )


def _width_findings(cutting: TipCutting, width: float) -> list[Finding]:
    """Say when the flat is narrower than wanted."""
    if cutting.reached:
        return []
    why = "deeper it would take away more than the tip" if cutting.stopped else "as deep as allowed"
    return [
        Finding(
            "flat_too_narrow",
            "warning",
            f"Cut {cutting.depth:.1f} mm deep ({why}), the flat is only {cutting.width:.1f} mm wide "
            f"instead of {width:g} mm.",
            measured=cutting.width,
            limit=width,
            unit="mm",
            where=point(cutting.place),
            advice="Want a narrower flat." if cutting.stopped else "Allow a deeper cut.",
        )
    ]


def _left_edge_findings(cutting: TipCutting) -> list[Finding]:
    """Say when flat and surface meet at a sharp angle."""
    edge = cutting.edge
    if edge is None or edge.length < LEAST_EDGE:
        return []
    return [
        Finding(
            "cut_leaves_sharp_edge",
            "warning",
            f"The flat meets the surface at {edge.angle:.0f} deg along {edge.length:.0f} mm of its edge.",
            measured=edge.angle,
            limit=SHARP_ANGLE,
            unit="deg",
            where=point(edge.place),
            advice="Break that edge by hand, or change the wall angle.",
        )
    ]


def _rim_findings(cutting: TipCutting, rim: float) -> list[Finding]:
    """Say when a cut takes something off the rim or the back."""
    if cutting.lowest >= rim and cutting.lowest > 1e-6:
        return []
    through = cutting.lowest <= 1e-6
    return [
        Finding(
            "cut_reaches_back" if through else "cut_reaches_rim",
            "warning",
            "The flat of a tip goes through to the back: the outline on the wall changes there."
            if through
            else f"The flat of a tip reaches into the rim, to {cutting.lowest:.1f} mm above the back.",
            measured=cutting.lowest,
            limit=rim,
            unit="mm",
            where=point(cutting.place),
            advice="Leave the tip alone, or want a narrower flat.",
        )
    ]
