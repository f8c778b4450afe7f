"""The contact sheet: a picture of every hold of a set, what to buy, and the plates, as PDF."""

import io
import zipfile
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Image, KeepTogether, Spacer, Table

from holdwright.files.write_3mf import THUMBNAIL
from holdwright.joint.cautions import CAUTIONS
from holdwright.render.tones import FAINT, HAIRLINE, INK, SHELL, SUNKEN, mixed
from holdwright.sets.plates import Plate
from holdwright.sets.run_set import MadeHold, severities
from holdwright.sets.set_report import FinishedSet
from holdwright.sets.set_totals import estimate_of
from holdwright.sets.shopping_list import ShoppingItem
from holdwright.sheet.choice import PAPERS
from holdwright.sheet.content import DOT, TINTS
from holdwright.sheet.flowing_pdf import flowing_pdf
from holdwright.sheet.fonts import PLAIN, writable
from holdwright.sheet.pdf_text import heading_line, plain_markup, text_line

ACROSS: Final = 4
CARD: Final = 45.5
"""Width of a card, mm, of which so many stand beside each other."""
PICTURE: Final = 38.0
PLATE: Final = 58.0
"""Sides of a picture and of a plate as drawn, mm."""


def contact_sheet(finished: FinishedSet, out: Path) -> bytes:
    """Draw the sheet on A4 and give the PDF file's bytes; pictures are those in the holds' 3MF."""
    story: list[Flowable] = [
        text_line(f"<b>{plain_markup(finished.of.name)}</b>", 19.0),
        text_line(_facts(finished), 9.0, FAINT),
    ]
    story += [Spacer(1, 4 * mm), _cards(finished, out)]
    story.append(KeepTogether([heading_line("To buy"), _shopping(finished.shopping)]))
    if finished.plates.plates:
        story.append(KeepTogether([heading_line("Plates"), _plates(finished.plates.plates[:6])]))
        if len(finished.plates.plates) > 6:
            story.append(_plates(finished.plates.plates[6:]))
    story += [
        text_line(f"{plain_markup(name)}: {plain_markup(why)}", 8.0, FAINT)
        for name, why in finished.plates.left_out.items()
    ]
    story.append(
        KeepTogether(
            [
                heading_line("Please read"),
                *(text_line(f"\N{EN DASH} {plain_markup(each)}", 8.0) for each in CAUTIONS),
            ]
        )
    )
    return flowing_pdf(story, f"{finished.of.name}: contact sheet", PAPERS["a4"])


def duration(seconds: float) -> str:
    """Write a time as people say it: "2 h 10 min"."""
    minutes = round(seconds / 60.0)
    return f"{minutes // 60} h {minutes % 60} min" if minutes >= 60 else f"{minutes} min"


def _facts(finished: FinishedSet) -> str:
    copies = sum(each.hold.count for each in finished.made if each.report)
    failed = sum(each.status == "failed" for each in finished.made)
    mass, time, cost = (finished.totals[name] for name in ("mass_g", "time_s", "cost"))
    plates = len(finished.plates.plates)
    facts = [
        f"{copies} hold{'s' * (copies != 1)} of {len(finished.made)} kind{'s' * (len(finished.made) != 1)}",
        f"{mass['low'] / 1000:.2f} to {mass['high'] / 1000:.2f} kg",
        f"{duration(time['low'])} to {duration(time['high'])} of printing",
        f"filament for {cost['low']:.0f} to {cost['high']:.0f}",
        f"{plates} plate{'s' * (plates != 1)}",
    ]
    return plain_markup(DOT.join(facts + [f"{failed} failed"] * bool(failed)))


def _cards(finished: FinishedSet, out: Path) -> Flowable:
    cards: list[Any] = [_card(each, out) for each in finished.made]
    cards += [""] * (-len(cards) % ACROSS)
    rows = [cards[start : start + ACROSS] for start in range(0, len(cards), ACROSS)]
    style = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 10),
    ]
    return Table(rows, colWidths=[CARD * mm] * ACROSS, style=style, hAlign="LEFT")


def _card(made: MadeHold, out: Path) -> list[Flowable]:
    hold = made.hold
    copies = f" \N{MULTIPLICATION SIGN} {hold.count}" if hold.count > 1 else ""
    card: list[Flowable] = [_picture(made, out), text_line(f"<b>{plain_markup(hold.name)}</b>{copies}", 9.0)]
    if not made.report:
        return [
            *card,
            text_line(f'<font backColor="{TINTS["error"]}">failed</font> {plain_markup(made.message)}', 7.0),
        ]
    x, y, z = made.report["finished"]["size_mm"]
    card.append(text_line(f"{x:.0f} \N{MULTIPLICATION SIGN} {y:.0f} \N{MULTIPLICATION SIGN} {z:.0f} mm", 8.0))
    if estimate := estimate_of(made):
        mass, time = estimate["mass_g"], estimate["time_s"]
        grams = f"{mass['low']:.0f} to {mass['high']:.0f} g"
        card.append(text_line(f"{grams}, {duration(time['likely'])}", 8.0))
    told = [
        f'<font backColor="{TINTS[severity]}">{number} {severity}{"s" * (number != 1)}</font>'
        for severity in ("error", "warning")
        if (number := severities(made)[severity])
    ]
    return [*card, text_line(", ".join(told) or "no warnings", 7.5, INK if told else FAINT)]


def _picture(made: MadeHold, out: Path) -> Flowable:
    name = made.hold.name
    with suppress(OSError, KeyError, zipfile.BadZipFile):
        with zipfile.ZipFile(out / name / f"{name}.3mf") as package:
            content = package.read(THUMBNAIL)
        if made.report:
            return Image(io.BytesIO(content), PICTURE * mm, PICTURE * mm, hAlign="LEFT")
    return _Blank()


def _shopping(items: tuple[ShoppingItem, ...]) -> Flowable:
    if not items:
        return text_line("Nothing: no hold was finished.", 8.0, FAINT)
    rows = [[text_line(plain_markup(each), 8.0, FAINT) for each in ("Kind", "Item", "Quantity", "")]]
    for item in items:
        kind, name, quantity, unit, note = item.written
        amount = f"{quantity} {unit.removesuffix('s') if quantity == '1' else unit}"
        rows.append([text_line(plain_markup(each), 8.0) for each in (kind, name, amount, note)])
    widths = [24 * mm, 72 * mm, 28 * mm, 58 * mm]
    return Table(
        rows, colWidths=widths, style=[*_TIGHT, ("LINEABOVE", (0, 1), (-1, -1), 0.4, HAIRLINE)], hAlign="LEFT"
    )


def _plates(plates: tuple[Plate, ...]) -> Flowable:
    drawn: list[Any] = [
        [
            _PlateDrawing(each),
            text_line(f"<b>{plain_markup(each.file)}</b>{DOT}{each.density:.0%} covered", 7.5),
            text_line(plain_markup(each.printer), 7.0, FAINT),
        ]
        for each in plates
    ]
    drawn += [""] * (-len(drawn) % 3)
    rows = [drawn[start : start + 3] for start in range(0, len(drawn), 3)]
    style = [*_TIGHT, ("BOTTOMPADDING", (0, 0), (-1, -1), 8)]
    return Table(rows, colWidths=[(PLATE + 2.6) * mm] * 3, style=style, hAlign="LEFT")


_TIGHT: Final = [
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 2),
]


class _Blank(Flowable):  # type: ignore[misc]
    """The place of a picture that there is none of."""

    def __init__(self) -> None:
        super().__init__()
        self.width = self.height = PICTURE * mm

    def draw(self) -> None:
        self.canv.setFillColor(SUNKEN)
        self.canv.rect(0, 0, PICTURE * mm, PICTURE * mm, stroke=0, fill=1)


class _PlateDrawing(Flowable):  # type: ignore[misc]
    """A bed seen from above, with the outlines on it and their names."""

    def __init__(self, plate: Plate) -> None:
        super().__init__()
        self._plate = plate
        self._scale = PLATE * mm / max(plate.bed)
        self.width, self.height = (side * self._scale for side in plate.bed)

    def draw(self) -> None:
        canvas, scale = self.canv, self._scale
        canvas.setFillColor(SUNKEN)
        canvas.setStrokeColor(HAIRLINE)
        canvas.rect(0, 0, self.width, self.height, stroke=1, fill=1)
        for placed in self._plate.placed:
            outline = placed.moved(self._plate.outlines[placed.name]) * scale
            path = canvas.beginPath()
            path.moveTo(*outline[0].tolist())
            for corner in outline[1:].tolist():
                path.lineTo(*corner)
            path.close()
            canvas.setFillColor(mixed(SHELL, "#FFFFFF", 0.55))
            canvas.setStrokeColor(SHELL)
            canvas.drawPath(path, stroke=1, fill=1)
            low, high = outline.min(axis=0), outline.max(axis=0)
            text, size = writable(placed.name), 6.0
            while canvas.stringWidth(text, PLAIN, size) > 0.9 * (high - low)[0] and size > 3.0:
                size -= 0.5
            canvas.setFillColor(INK)
            canvas.setFont(PLAIN, size)
            canvas.drawCentredString(*((low + high) / 2.0).tolist(), text)
