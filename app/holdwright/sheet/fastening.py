"""What holds the hold to its wall, and where: bolts, and the holes of bolts and screws."""

from collections.abc import Iterator, Sequence

from holdwright.hold.finding import Finding
from holdwright.joint.card.joint_card import JointCard
from holdwright.sheet.content import SheetTable
from holdwright.sheet.drawing import HoldDrawing, bore_mark


def bolt_table(cards: Sequence[JointCard], told: Finding | None, why_not: str) -> SheetTable:
    """List bolt, washer, T-nut, key and torque of each bore; bores that are alike share a column.

    Parameters
    ----------
    told
        The verdict on the joint.
    why_not
        Why it was not judged; blank where it was.
    """
    if not cards:
        return SheetTable("Joint", (), below=why_not or "The joint could not be judged; see the findings.")
    marks: dict[tuple[tuple[str, str], ...], list[str]] = {}
    for number, card in enumerate(cards):
        marks.setdefault(tuple(_bolt(card)), []).append(bore_mark(number))
    titles = [title for title, _ in next(iter(marks))]
    values = zip(*([text for _, text in each] for each in marks), strict=True)
    rows = [(title, *texts) for title, texts in zip(titles, values, strict=True)]
    columns = tuple("bore " + " and ".join(each) for each in marks.values()) if len(cards) > 1 else ()
    return SheetTable("Joint", tuple(rows), columns, below=told.message if told else "")


def hole_table(drawing: HoldDrawing, cards: Sequence[JointCard]) -> SheetTable:
    """List every hole of a hold with its place from the edges of the base, as seen from behind."""
    long = {(each.x, each.y): each.length for card in cards[:1] for each in card.existing_screws}
    rows = []
    for hole in drawing.holes:
        length = long.get((hole.x, hole.y))
        what = hole.screw if length is None else f"{hole.screw}, {length:g} mm or longer"
        left, up = drawing.from_edges(hole.x, hole.y)
        rows.append((hole.mark, what, f"{hole.diameter:g}", f"{left:.1f}", f"{up:.1f}"))
    columns = ("for", "hole", "from left", "from below")
    return SheetTable("Holes", tuple(rows), columns, (14.0, 33.0, 9.0, 15.0, 19.0))


def _bolt(card: JointCard) -> Iterator[tuple[str, str]]:
    hardware, conditions = card.hardware, card.conditions
    short = "; none is long enough" if card.bolt.length is None else ""
    yield "Bolt", f"{card.bolt_name}, {hardware.strength.name}{short}"
    yield "Washer", hardware.washer.name if hardware.washer else "none"
    yield "T-nut", f"{hardware.t_nut.name}; {conditions.panel.name}"
    yield "Key", f"{hardware.screw.key:g} mm, {card.tool_reach.value or 0.0:.0f} mm deep in its pocket"
    yield "Torque", _torque(card)


def _torque(card: JointCard) -> str:
    torque, usable = card.conditions.torque, card.usable_torques
    if usable is None:
        return f"{torque:g} N m; no torque is enough and within {card.window.most:.1f} N m, the most it bears"
    low, high = usable
    fit = "too little" if torque < low else "too much" if torque > high else "well"
    screws = "" if card.window.range else ", once the wood screws that the findings ask for are set"
    return (
        f"{torque:g} N m{'' if fit == 'well' else f' is {fit}'}; usable {low:.1f} to {high:.1f} N m{screws}"
    )
