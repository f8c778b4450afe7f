"""Times the joint card from cached geometry, and the search for the bore's best place.

Aims: the card under 30 ms however large the hold; the search under 2 s on a solid of 150k triangles. Beside
each stands what bare numpy or the kernel takes on the same solid in the same run.
"""

import dataclasses
import statistics
import time
from collections.abc import Callable

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.geometry.hole.hole import Hole
from holdwright.geometry.hole.hole_cut import cut_hole
from holdwright.geometry.mesh.solid import Solid
from holdwright.hold.feature import Bore, Rim
from holdwright.hold.hold import Hold
from holdwright.joint.advice.findings import joint_findings
from holdwright.joint.card.joint_card import joint_cards
from holdwright.joint.conditions import conditions
from holdwright.joint.holding.joint_shape import joint_shape
from holdwright.operations.cut_bore import CutBoreParameters
from holdwright.pipeline.views.place_view import places_of
from shapes import boulder

SCREW, WASHER = "M10 socket cap ISO 4762", "M10 large washer ISO 7093"
SIZES = ((20_000, 55.0), (216_000, 55.0), (216_000, 220.0), (860_000, 220.0))


def rock(triangles: int, radius: float) -> Solid:
    """A lumpy half ball of about so many triangles."""
    segments = 4 * max(round((triangles / 8) ** 0.5), 4)
    solid = boulder(radius, 0.25, 3, segments)
    return Solid.checked(solid.kernel.trim_by_plane((0, 0, 1), -radius / 3).translate((0, 0, radius / 3)))


def median_ms(work: Callable[[], object], times: int) -> float:
    """Median time of some work."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(1000 * (time.perf_counter() - start))
    return statistics.median(taken)


def main() -> None:
    """Print the table."""
    catalogue = load_catalogue()
    wanted = conditions(catalogue)
    parameters = CutBoreParameters(screw=SCREW, washer=WASHER)
    rim = Rim(2.0, 0.0, 0.0, 1.0, 1, 1)
    print("triangles  across mm  card ms (aim 30)  shape ms  places s (aim 2)  places / bare bore")
    for triangles, radius in SIZES:
        solid = rock(triangles, radius)
        shape = Hole(0.0, 0.0, 25.0, 11.0, 31.0, 30.0)
        bore = Bore(0.0, 0.0, (0.0, 0.0, 1.0), 11.0, 31.0, 25.0, 25.0, SCREW, WASHER)
        bare_ms = median_ms(lambda solid=solid, shape=shape: cut_hole(solid, shape).solid.volume, 3)
        hold = Hold().with_whole(cut_hole(solid, shape).solid, rim, bore)
        start = time.perf_counter()
        joint = joint_shape(hold)
        shape_ms = 1000 * (time.perf_counter() - start)
        torques = iter(range(1, 1000))

        def card(joint: object = joint, torques: object = torques) -> None:
            tried = dataclasses.replace(wanted, torque=5.0 + next(torques) / 100)
            joint_findings(joint_cards(joint, tried, catalogue))

        card_ms = median_ms(card, 20)
        before = Hold().with_whole(solid, rim)
        places_ms = median_ms(
            lambda before=before: places_of(before, parameters, wanted, catalogue, (0.0, 0.0)), 3
        )
        print(
            f"{len(solid.triangles):>9}  {2 * radius:>9.0f}  {card_ms:>16.1f}  {shape_ms:>8.0f}  "
            f"{places_ms / 1000:>16.2f}  {places_ms / bare_ms:>18.1f}",
            flush=True,
        )


if __name__ == "__main__":
    main()
