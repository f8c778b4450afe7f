"""A work sheet as one static page of HTML, with its pictures inside."""

import base64
from collections.abc import Iterable, Sequence
from html import escape

from holdwright.render.picture import png_of
from holdwright.render.tones import ACCENT, FAINT, HAIRLINE, INK
from holdwright.sheet.choice import PAPERS, Paper
from holdwright.sheet.content import DOT, TINTS, SheetContent, SheetFinding, SheetTable
from holdwright.sheet.marks import CAP, Area, Image, Line, Mark, Words
from holdwright.sheet.view_places import ViewPlaces

WIDE, HIGH = 182.0, 165.0
"""Block that the drawing is fitted to, mm."""

_STYLE = f"""
@page {{ size: PAPER; margin: 12mm }}
body {{ font: 9.5pt/1.35 "DejaVu Sans Condensed", "Segoe UI", "Helvetica Neue", Arial, sans-serif;
  color: {INK}; background: #fff; max-width: {WIDE:g}mm; margin: 8mm auto;
  font-variant-numeric: tabular-nums }}
h1 {{ font-size: 20pt; margin: 0; overflow-wrap: anywhere }}
h2 {{ font-size: 10.5pt; color: {ACCENT}; margin: 5mm 0 1mm }}
.facts {{ color: {FAINT}; margin: 0 0 4mm; padding-bottom: 2mm; border-bottom: .5mm solid {ACCENT} }}
svg {{ width: 100%; height: auto; font-family: inherit }}
table {{ border-collapse: collapse; width: 100% }}
td, th {{ border-top: .15mm solid {HAIRLINE}; padding: .6mm 2mm .6mm 0; text-align: left; vertical-align: top;
  font-weight: normal; overflow-wrap: anywhere }}
th {{ color: {FAINT}; width: 24mm }}
p {{ margin: 1mm 0 }}
.shares {{ table-layout: fixed }}
.shares th {{ width: auto }}
ol, ul {{ padding-left: 6mm; margin: 0 }}
.halves {{ display: flex; gap: 8mm }}
.halves > div {{ flex: 1 }}
.faint, .advice {{ color: {FAINT} }}
.findings th {{ color: {INK}; font-weight: bold; width: 15mm; padding-left: 1mm }}
li {{ margin: 1mm 0 }}
li::marker {{ color: {ACCENT}; font-weight: bold }}
footer {{ margin-top: 6mm; padding-top: 1mm; border-top: .15mm solid {HAIRLINE}; color: {FAINT};
  font-size: 7.5pt }}
.findings td {{ padding-left: 2mm }}
@media print {{
  body {{ margin: 0; font-size: 7.7pt; line-height: 1.22 }} section, tr {{ break-inside: avoid }}
  section:has(.findings) {{ break-inside: auto }} svg {{ max-height: 110mm }} h2 {{ margin-top: 3mm }}
  footer {{ margin-top: 2mm }} }}
"""


def html_of(content: SheetContent, paper: Paper = "a4") -> bytes:
    """Give the page in UTF-8; it is printed on that paper."""
    places = ViewPlaces.of(content.drawing.size, WIDE, HIGH, corner=None)
    marks, height = content.drawing.marks(places), places.height
    work = (f"<li><b>{escape(title)}.</b> {escape(text)}" for title, text in content.work)
    strength = [f"<li><b>{escape(title)}.</b> {escape(text)}" for title, text in content.strength]
    cautions = (f"<li>{escape(each)}" for each in content.cautions)
    body = [
        f"<h1>{escape(content.name)}</h1>",
        f'<p class="facts">{escape(DOT.join(("Work sheet", *content.facts)))}</p>',
        svg_of(marks, WIDE, height),
        *(beside_of(row) for row in content.tables),
        section_of("Order of work", "<ol>", *work, "</ol>"),
        *([section_of("Strength", "<ul>", *strength, "</ul>")] if strength else []),
        section_of("Findings", *findings_of(content.findings)),
        section_of("Please read", "<ul>", *cautions, "</ul>"),
        f"<footer>{escape(DOT.join(content.made))}</footer>",
    ]
    return page_of(f"{content.name}: work sheet", body, paper)


def page_of(title: str, body: Sequence[str], paper: Paper = "a4") -> bytes:
    """Give a page of these parts in UTF-8."""
    width, high = PAPERS[paper]
    style = _STYLE.replace("PAPER", f"{width:g}mm {high:g}mm")
    named = f"<title>{escape(title)}</title>"
    head = f'<!doctype html><html lang="en"><head><meta charset="utf-8">{named}<style>{style}</style></head>'
    return f"{head}<body>{''.join(body)}</body></html>\n".encode("utf-8", "replace")


def section_of(title: str, *parts: str) -> str:
    """Give a section under its heading."""
    return f"<section><h2>{escape(title)}</h2>{''.join(parts)}</section>"


def beside_of(row: Sequence[SheetTable]) -> str:
    """Give a table, or two beside each other."""
    if len(row) == 1:
        return _table(row[0])
    return f'<div class="halves">{"".join(f"<div>{_table(each)}</div>" for each in row)}</div>'


def _table(table: SheetTable) -> str:
    total = sum(table.shares)
    columns = "".join(f'<col style="width:{share / total:.1%}">' for share in table.shares)
    head = _row(("th",) * (1 + len(table.columns)), ("", *table.columns)) if table.columns else ""
    rows = (_row(("th", *("td",) * len(row)), row) for row in table.rows)
    common = f"<p>{escape(table.common)}</p>" if table.common else ""
    below = f'<p class="faint">{escape(table.below)}</p>' if table.below else ""
    kind = ' class="shares"' if table.shares else ""
    filled = (f"<table{kind}>", columns, head, *rows, "</table>") if table.rows else ()
    return section_of(table.title, *filled, common, below)


def _row(tags: Sequence[str], cells: Iterable[str]) -> str:
    filled = (f"<{tag}>{escape(cell)}</{tag}>" for tag, cell in zip(tags, cells, strict=False))
    return f"<tr>{''.join(filled)}</tr>"


def findings_of(findings: Sequence[SheetFinding]) -> Iterable[str]:
    """Give the parts of a list of findings."""
    if not findings:
        return ["<p>None.</p>"]
    rows = (
        f'<tr><th style="background:{TINTS[each.severity]}">{each.severity}</th>'
        f'<td>{escape(each.text)} <span class="advice">{escape(each.advice)}</span></td></tr>'
        for each in findings
    )
    return ['<table class="findings">', *rows, "</table>"]


def svg_of(marks: Sequence[Mark], width: float, height: float) -> str:
    """Draw marks as SVG, one unit for a mm on the paper."""
    drawn = "".join(_mark(mark, height) for mark in marks)
    return f'<svg viewBox="0 0 {width:g} {height + 1:.2f}" xmlns="http://www.w3.org/2000/svg">{drawn}</svg>'


def _mark(mark: Mark, height: float) -> str:
    match mark:
        case Line(ends=(x1, y1, x2, y2)):
            dashes = ' stroke-dasharray="4 1 .6 1"' if mark.dashed else ""
            return (
                f'<line x1="{x1:.2f}" y1="{height - y1:.2f}" x2="{x2:.2f}" y2="{height - y2:.2f}" '
                f'stroke="{mark.colour}" stroke-width="{mark.width}"{dashes}/>'
            )
        case Area():
            corners = " ".join(f"{x:.2f},{height - y:.2f}" for x, y in mark.corners)
            return f'<polygon points="{corners}" fill="{mark.colour}"/>'
        case Words():
            turn = f' transform="rotate(-90 {mark.x:.2f} {height - mark.y:.2f})"' if mark.upward else ""
            weight = ' font-weight="bold"' if mark.bold else ""
            return (
                f'<text x="{mark.x:.2f}" y="{height - mark.y:.2f}" font-size="{mark.size / CAP:.2f}" '
                f'text-anchor="{mark.anchor}" fill="{mark.colour}"{weight}{turn}>{escape(mark.text)}</text>'
            )
        case Image():
            data = base64.b64encode(png_of(mark.pixels)).decode()
            return (
                f'<image x="{mark.x:.2f}" y="{height - mark.y - mark.height:.2f}" width="{mark.width:.2f}" '
                f'height="{mark.height:.2f}" href="data:image/png;base64,{data}"/>'
            )
