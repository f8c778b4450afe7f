"""The files of a wall's plan: drawing as SVG and PDF, mounting list, the wall as placed, and a report."""

import csv
import io
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, PageBreak, Spacer, Table

from holdwright import __version__
from holdwright.export.staging import staged
from holdwright.hold.finding import Finding
from holdwright.joint.cautions import CAUTIONS
from holdwright.render.tones import FAINT, HAIRLINE
from holdwright.sheet.choice import PAPERS
from holdwright.sheet.content import TINTS
from holdwright.sheet.flowing_pdf import FOOT, flowing_pdf
from holdwright.sheet.html import svg_of
from holdwright.sheet.marks import Mark
from holdwright.sheet.pdf import draw_mark
from holdwright.sheet.pdf_text import heading_line, plain_markup, text_line
from holdwright.wall.hung import Hung
from holdwright.wall.wall_drawing import scale_for, wall_marks
from holdwright.wall.wall_file import ClimbingWall

MARGIN: Final = 12.0
HEAD: Final = 16.0
"""Round the page, and for the title, mm."""

COLUMNS: Final = ("number", "hold", "t_nut", "turn_deg", "bolt", "wood_screws", "x_mm", "y_mm")


def write_wall(
    wall: ClimbingWall, holds: Sequence[Hung], findings: Sequence[Finding], left: Sequence[str], out: Path
) -> dict[str, Any]:
    """Write all files of a plan, or none, and give its report.

    Parameters
    ----------
    left
        Names of holds that hang nowhere.

    Raises
    ------
    OSError
        When the disk refuses.
    """
    placed = wall.model_copy(update={"placed": tuple(one.entry for one in holds)})
    report = {
        "format": 1,
        "program": f"Holdwright {__version__}",
        "wall": wall.name,
        "holds": [dict(zip(COLUMNS, _row(one), strict=True)) for one in holds],
        "left": list(left),
        "findings": [
            {
                name: getattr(each, name)
                for name in ("code", "severity", "message", "advice", "measured", "limit")
            }
            for each in findings
        ],
        "cautions": list(CAUTIONS),
    }
    out.mkdir(parents=True, exist_ok=True)
    with staged(out) as stage:
        (stage / "wall.json").write_text(placed.model_dump_json(indent=2) + "\n", "utf-8")
        (stage / "wall-plan.svg").write_text(_svg(wall, holds), "utf-8")
        (stage / "wall-plan.pdf").write_bytes(_pdf(wall, holds, findings, left))
        (stage / "mounting-list.csv").write_bytes(_csv(holds))
        (stage / "wall.report.json").write_text(
            json.dumps(report, indent=2, ensure_ascii=False) + "\n", "utf-8"
        )
        report["files"] = sorted(path.name for path in stage.iterdir())
    return report


def _row(one: Hung) -> tuple[Any, ...]:
    x, y = one.at
    bolts = "; ".join(dict.fromkeys(one.hold.bolts)) or "by hand"
    return (
        one.number,
        one.hold.name,
        one.t_nut,
        one.turn,
        bolts,
        len(one.hold.screws),
        round(x, 1),
        round(y, 1),
    )


def _csv(holds: Sequence[Hung]) -> bytes:
    stream = io.StringIO()
    writer = csv.writer(stream)
    writer.writerow(COLUMNS)
    writer.writerows(_row(one) for one in holds)
    return stream.getvalue().encode()


def _svg(wall: ClimbingWall, holds: Sequence[Hung]) -> str:
    """Draw the wall at a tenth: the file says its size in mm."""
    marks, width, height = wall_marks(wall, holds, 10)
    size = f'<svg width="{width:.2f}mm" height="{height + 1:.2f}mm" font-family="sans-serif" '
    return svg_of(marks, width, height).replace("<svg ", size, 1) + "\n"


def _pdf(
    wall: ClimbingWall, holds: Sequence[Hung], findings: Sequence[Finding], left: Sequence[str]
) -> bytes:
    across, up = wall.panels.columns * wall.panels.width, wall.panels.rows * wall.panels.height
    page = PAPERS["a4"] if up >= across else PAPERS["a4"][::-1]
    room = page[0] - 2 * MARGIN, page[1] - 2 * MARGIN - FOOT - HEAD - 2.0
    scale = scale_for(wall, *room)
    marks, width, height = wall_marks(wall, holds, scale)
    number = wall.panels.columns * wall.panels.rows
    panels = f"{number} panel{'s' * (number != 1)} of {wall.panels.width:g} by {wall.panels.height:g} mm"
    story: list[Flowable] = [
        text_line(f"<b>{plain_markup(wall.name or 'Wall')}</b>", 16.0),
        text_line(
            plain_markup(f"{len(holds)} holds on {panels}; scale 1 : {scale}, seen from the front"),
            9.0,
            FAINT,
        ),
        Spacer(1, 2 * mm),
        _Drawing(marks, width, height),
        PageBreak(),
        heading_line("Mounting list"),
        _mounting(holds),
        Spacer(1, 4 * mm),
        heading_line("Findings"),
    ]
    story += [
        text_line(
            f'<font backColor="{TINTS[each.severity]}">{each.severity}</font> {plain_markup(each.message)} '
            f'<font color="{FAINT}">{plain_markup(each.advice)}</font>',
            8.0,
        )
        for each in findings
    ] or [text_line("None.", 8.0, FAINT)]
    story += [
        text_line(plain_markup(f"{name} hangs nowhere: no place was free for it."), 8.0) for name in left
    ]
    story += [Spacer(1, 4 * mm), heading_line("Please read")]
    story += [text_line(f"\N{EN DASH} {plain_markup(each)}", 8.0) for each in CAUTIONS]
    return flowing_pdf(story, f"{wall.name or 'Wall'}: plan", page, MARGIN)


def _mounting(holds: Sequence[Hung]) -> Flowable:
    head = ("No.", "Hold", "T-nut", "Turn", "Bolt", "Wood screws")
    rows = [[text_line(plain_markup(each), 8.0, FAINT) for each in head]]
    for one in holds:
        number, name, t_nut, turn, bolt, screws, *_ = _row(one)
        cells = (str(number), name, t_nut, f"{turn:g}\N{DEGREE SIGN}", bolt, str(screws or "none"))
        rows.append([text_line(plain_markup(each), 8.0) for each in cells])
    widths = [each * mm for each in (12, 50, 16, 16, 66, 24)]
    style = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("LINEABOVE", (0, 1), (-1, -1), 0.4, HAIRLINE),
    ]
    return Table(rows, colWidths=widths, style=style, hAlign="LEFT", repeatRows=1)


class _Drawing(Flowable):  # type: ignore[misc]
    """Marks on the page."""

    def __init__(self, marks: Sequence[Mark], width: float, height: float) -> None:
        super().__init__()
        self._marks, self.width, self.height = marks, width * mm, height * mm

    def draw(self) -> None:
        for mark in self._marks:
            draw_mark(self.canv, mark)
