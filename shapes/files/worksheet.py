"""Worksheets and care cards: HTML and PDF pages from the same data.

A sheet goes on to more pages if it must.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Any

from shapes.files.figure import Figure, as_svg, on_canvas
from shapes.files.paper import PAPER, canvas_of, fitting, text_fonts
from shapes.units import POINTS_PER_MM as POINTS
from shapes.workshop.cautions import CARE, NOT_FOR_FOOD
from shapes.workshop.words import Group, Worksheet

PAGE_MARGIN = 9.0  # mm
PICTURE = 66.0  # mm high
CARD = (105.0, 148.0)  # mm, ISO 216 A6
_SIZES = (7.6, 7.2, 6.8, 6.4, 6.0, 5.6)  # points; the largest with which all stands on one page

_STYLE = """
@page { size: SIZE; margin: 9mm }
* { box-sizing: border-box }
body { font: 6.5pt/1.2 sans-serif; color: #000; margin: 0 auto; width: WIDTHmm }
@media screen { body { font-size: 9pt } }
h1 { font-size: 14pt; margin: 0 } h1 + p { margin: 1mm 0 }
figure { margin: 0; text-align: center }
main { columns: 2; column-gap: 5mm }
section { break-inside: avoid; margin-bottom: 1.6mm }
h2 { font-size: 1.15em; margin: 0 0 .4mm; border-bottom: .3mm solid #000 }
label { display: block; padding-left: 4mm; text-indent: -4mm; margin: .35mm 0 }
label.must { padding-left: 2mm; text-indent: 0; border-left: .8mm solid #c0392b; margin-left: 1mm }
input { width: 2.8mm; height: 2.8mm; margin: 0 1.2mm 0 0; vertical-align: -.4mm }
table { border-collapse: collapse; width: 100% } td, th { text-align: left; padding: .1mm 1.5mm .1mm 0; vertical-align: top }
th { font-weight: normal; color: #555 }
footer { color: #555; margin-top: 1mm }
.alarm { color: #fff; background: #b0261b; font-weight: bold; padding: .6mm 1.5mm; margin: .5mm 0 }
"""


def worksheet_html(sheet: Worksheet, figure: Figure, paper: str = "a4") -> bytes:
    """Return HTML with the picture in it; nothing is loaded from elsewhere."""
    w, h = PAPER[paper]
    style = _STYLE.replace("SIZE", f"{w:g}mm {h:g}mm").replace("WIDTH", f"{w - 2 * PAGE_MARGIN:g}")
    picture = as_svg(figure, w - 2 * PAGE_MARGIN, PICTURE)
    groups = "\n".join(_section(g) for g in sheet.groups)
    alarms = "".join(f'<p class="alarm">{escape(a)}</p>\n' for a in sheet.alarms)
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta name="viewport" content="width=device-width"><title>{escape(sheet.title)}</title>'
        f"<style>{style}</style></head><body>\n<h1>{escape(sheet.title)}</h1><p>{escape(sheet.under)}</p>\n"
        f"{alarms}"
        f"<figure>{picture}</figure>\n<main>\n{groups}\n</main>\n<footer>{escape(sheet.foot)}</footer></body></html>\n"
    ).encode()


def _section(group: Group) -> str:
    parts = [f"<section><h2>{escape(group.title)}</h2>"]
    parts += [f'<label><input type="checkbox">{escape(s)}</label>' for s in group.steps]
    if group.rows:
        head = "".join(f"<th>{escape(c)}</th>" for c in group.head)
        rows = "".join(
            "<tr>" + "".join(f"<td>{escape(c)}</td>" for c in r) + "</tr>" for r in group.rows
        )
        parts.append(f"<table><tr>{head}</tr>{rows}</table>")
    parts += [f'<label class="must">{escape(c)}</label>' for c in group.cautions]
    return "".join([*parts, "</section>"])


def worksheet_pdf(sheet: Worksheet, figure: Figure, paper: str = "a4") -> bytes:
    """Return the same as PDF.

    One page in the largest type with which all of it stands there, else more pages.
    """
    text, bold = named = text_fonts()
    w, h = PAPER[paper]
    canvas, held = canvas_of((w, h), sheet.title)
    wide, gap = (w - 2 * PAGE_MARGIN) * POINTS, 5 * POINTS
    left, top = PAGE_MARGIN * POINTS, (h - PAGE_MARGIN) * POINTS
    column = (wide - gap) / 2
    floor = PAGE_MARGIN * POINTS + 9
    high = top - 16
    canvas.setFont(bold, min(14, 14 * wide / canvas.stringWidth(sheet.title, bold, 14)))
    canvas.drawString(left, top - 12, sheet.title)
    for flow in _heads(sheet, named):
        tall = flow.wrap(wide, 1e6)[1]
        flow.drawOn(canvas, left, high - tall)
        high -= tall + 1.5
    low = high - 2 - PICTURE * POINTS
    on_canvas(canvas, figure, left, low, wide, PICTURE * POINTS, text)
    full = top - 4 - floor
    for size in _SIZES:
        pages = _pages(sheet.groups, column, (low - 4 - floor, full), size, named)
        if len(pages) == 1:
            break
    else:
        pages = _pages(sheet.groups, column, (low - 4 - floor, full), _SIZES[2], named)
    for k, columns in enumerate(pages):
        for i, flows in enumerate(columns):
            y = low - 4 if k == 0 else top - 4
            for flow, tall in flows:
                flow.drawOn(canvas, left + i * (column + gap), y - tall)
                y -= tall + flow.getSpaceAfter()
        canvas.setFont(text, 6)
        canvas.setFillGray(0.3)
        page = "" if len(pages) == 1 else f"   {sheet.title}, page {k + 1} of {len(pages)}"
        canvas.drawString(left, PAGE_MARGIN * POINTS, sheet.foot + page)
        canvas.showPage()
    canvas.save()
    return held.getvalue()


Flows = list[tuple[Any, float]]


def _heads(sheet: Worksheet, named: tuple[str, str]) -> list[Any]:
    """What stands under the title: what the sheet is of, then alarms on red."""
    from reportlab.lib.colors import HexColor, white
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Paragraph

    plain = ParagraphStyle("under", fontName=named[0], fontSize=7.4, leading=9)
    alarm = ParagraphStyle(
        "alarm",
        parent=plain,
        fontName=named[1],
        textColor=white,
        backColor=HexColor("#b0261b"),
        borderPadding=(1, 2, 1, 2),
    )
    return [
        Paragraph(escape(sheet.under), plain),
        *(Paragraph(escape(a), alarm) for a in sheet.alarms),
    ]


def _pages(
    groups: Sequence[Group],
    wide: float,
    high: tuple[float, float],
    size: float,
    named: tuple[str, str],
) -> list[list[Flows]]:
    """Lay groups in two columns a page, ``high`` on the first page and on the others.

    No group is parted that stands in a column; one that is longer goes on in the next.
    """
    columns: list[Flows] = [[]]
    room = high[0]

    def following() -> None:
        nonlocal room
        columns.append([])
        room = high[0] if len(columns) <= 2 else high[1]

    for group in groups:
        flows = [(f, f.wrap(wide, 1e6)[1]) for f in _flows(group, wide, size, named)]
        need = sum(tall + f.getSpaceAfter() for f, tall in flows)
        if need > room and columns[-1]:
            following()
        for flow, tall in flows:
            if tall > room and columns[-1]:
                following()
            columns[-1].append((flow, tall))
            room -= tall + flow.getSpaceAfter()
    return [columns[i : i + 2] for i in range(0, len(columns), 2)]


def _flows(group: Group, wide: float, size: float, named: tuple[str, str]) -> list[Any]:
    from reportlab.lib.colors import HexColor
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Paragraph, Table, TableStyle

    text, bold = named
    lead = size * 1.18
    plain = ParagraphStyle(
        "plain", fontName=text, fontSize=size, leading=lead, leftIndent=9, spaceAfter=0.6
    )
    must = ParagraphStyle("must", parent=plain, leftIndent=9, textColor=HexColor("#8c1d12"))
    title = ParagraphStyle("title", fontName=bold, fontSize=size + 1, leading=lead + 1.4)
    cell = ParagraphStyle("cell", fontName=text, fontSize=size - 0.4, leading=lead - 0.3)
    flows: list[Any] = [Paragraph(escape(group.title), title)]
    flows += [_ticked(escape(s), plain) for s in group.steps]
    if group.rows:
        rows = [[Paragraph(escape(c), cell) for c in r] for r in (group.head, *group.rows)]
        shares = {5: (0.13, 0.17, 0.42, 0.12, 0.16), 3: (0.28, 0.56, 0.16)}[len(group.head)]
        tight = TableStyle(
            [
                ("TOPPADDING", (0, 0), (-1, -1), 0),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 2),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ]
        )
        flows.append(Table(rows, [wide * s for s in shares], style=tight, hAlign="LEFT"))
    flows += [Paragraph(f"<b>!</b> {escape(c)}", must) for c in group.cautions]
    flows[-1].spaceAfter = 4
    return flows


def _ticked(text: str, style: Any) -> Any:
    """A paragraph with a box to tick in front of it."""
    from reportlab.platypus import Paragraph

    class Boxed(Paragraph):  # type: ignore[misc]
        def draw(self) -> None:
            super().draw()
            size = style.fontSize * 0.8
            self.canv.setLineWidth(0.5)
            self.canv.rect(0, self.height - style.fontSize, size, size)

    return Boxed(text, style)


def care_pdf(boards: Sequence[tuple[str, str, bool]]) -> bytes:
    """Return a card for the buyer of each board (name,
    species, whether for food), one A6 page each.
    """
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Paragraph

    text, bold = text_fonts()
    canvas, held = canvas_of(CARD, "care cards")
    style = ParagraphStyle("care", fontName=text, fontSize=10, leading=14)
    for name, species, for_food in boards:
        y = (CARD[1] - 16) * POINTS
        canvas.setFont(bold, 15)
        room = (CARD[0] - 20) * POINTS
        canvas.drawString(10 * POINTS, y, fitting(canvas, name, bold, 15, room))
        canvas.setFont(text, 10)
        what = "a serving board" if for_food else "a decorative board"
        what = f"{what} of {species}, of its own shape"
        canvas.drawString(10 * POINTS, y - 16, fitting(canvas, what, text, 10, room))
        y -= 34
        for line in CARE if for_food else NOT_FOR_FOOD:
            flow = Paragraph(escape(line), style)
            high = flow.wrap(room, 1e6)[1]
            flow.drawOn(canvas, 10 * POINTS, y - high)
            y -= high + 8
        canvas.showPage()
    canvas.save()
    return held.getvalue()
