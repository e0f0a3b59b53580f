"""An offer for a customer: one HTML file that needs no network, or a PDF.

Pictures first, no machine words.

In the HTML the customer marks boards, may write a wish, and gets one line to send back:

    boards 7b56bd 4400d9; wish: a little longer, please

``read_answer`` takes it apart again.
"""

from __future__ import annotations

import base64
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from shapes.errors import InputError, Problem
from shapes.files.paper import PAPER, canvas_of, fitting, text_fonts
from shapes.units import POINTS_PER_MM as POINTS
from shapes.workshop.cautions import CARE, NOT_FOR_FOOD

_SIDE = 16.0  # mm
_WISH = 500  # letters
_CODE = re.compile("[0-9a-f]{6}")


@dataclass(frozen=True, slots=True)
class Offered:
    """One board of an offer: its code, name, what is said of it, and its picture as JPEG."""

    code: str
    name: str
    says: tuple[str, ...]
    picture: bytes
    size: tuple[int, int]  # pixels, to one scale with the others
    for_food: bool = True


@dataclass(frozen=True, slots=True)
class Answer:
    """What a customer sent back: codes of boards, and a wish."""

    codes: tuple[str, ...]
    wish: str


def read_answer(line: str) -> Answer:
    """Read a customer's line, quoted or broken as letters do.

    Raises InputError where a word may be a lost code.

    >>> read_answer("boards 7b56bd 4400d9; wish: longer")
    Answer(codes=('7b56bd', '4400d9'), wish='longer')
    """
    plain = " ".join(re.sub(r"(?m)^[>\s]+", " ", line).split())
    named, _, wish = plain.partition(";")
    words = re.findall(r"\w+", named.lower())
    codes = tuple(dict.fromkeys(w for w in words if _CODE.fullmatch(w)))
    # A code has six letters and digits: what has a digit and is none was one before it was spoilt.
    spoilt = [w for w in words if not _CODE.fullmatch(w) and any(c.isdigit() for c in w)]
    problems = [
        Problem(
            "--keep-from",
            f"{w!r} is no code of a board",
            "",
            "ask the customer, or mend it: six of 0 to 9 and a to f",
        )
        for w in spoilt
    ]
    if not codes and not problems:
        problems.append(
            Problem(
                "--keep-from",
                f"{line[:60]!r} names no board",
                "",
                "give the line as the customer sent it: boards 7b56bd 4400d9",
            )
        )
    if problems:
        raise InputError(*problems)
    wish = re.sub(r"^\s*wish:\s*", "", wish, flags=re.I).strip()[:_WISH]
    return Answer(codes, "".join(c for c in wish if c.isprintable()))


_STYLE = """
:root { color-scheme: light }
* { box-sizing: border-box }
body { margin: 0; background: #faf7f1; color: #3b3129; font: 17px/1.45 Georgia, serif; padding-bottom: 11rem } body:has(form.none) { padding-bottom: 3.5rem }
header, main, .care { max-width: 1180px; margin: 0 auto; padding: 0 18px }
h1 { font-size: 1.9rem; margin: 1.6rem 0 .2rem; font-weight: normal; overflow-wrap: anywhere }
header p { margin: 0 0 1rem; color: #6b5f54 }
main { display: grid; gap: 2.2rem; grid-template-columns: repeat(auto-fit, minmax(min(100%, 460px), 1fr)) }
article { display: flex; flex-direction: column }
article { justify-content: flex-end } article img { height: auto; display: block }
h2 { font-size: 1.25rem; margin: .3rem 0 0; font-weight: normal; overflow-wrap: anywhere }
article p { margin: 0; color: #6b5f54 }
.code { font-size: .8rem }
label.mark { display: inline-flex; align-items: center; gap: .6rem; margin-top: .5rem; padding: .5rem .9rem;
  border: 1px solid #b9a993; border-radius: 2rem; align-self: flex-start; cursor: pointer; min-height: 44px }
label.mark:has(:checked) { background: #3b3129; color: #faf7f1; border-color: #3b3129 }
label.mark:focus-within { outline: 3px solid #2c6fbb; outline-offset: 2px }
.mark input { width: 1.2rem; height: 1.2rem; accent-color: #c8a067 }
.care { margin-top: 2.5rem } .care li { margin: .2rem 0 }
form { position: fixed; left: 0; right: 0; bottom: 0; background: #fffdf9; border-top: 1px solid #d9cfc2; padding: 10px 18px;
  display: grid; gap: 8px; grid-template-columns: minmax(0, 1fr) auto }
form p { margin: 0; grid-column: 1 / -1; font-size: .9rem; color: #6b5f54 }
form input { font: 16px/1.3 sans-serif; padding: 9px; border: 1px solid #b9a993; border-radius: 6px; width: 100%; min-width: 0 }
form #wish { grid-column: 1 / -1 } form.none input, form.none button { display: none }
button { font: 16px/1 sans-serif; padding: 0 18px; min-height: 44px; border: 0; border-radius: 6px; background: #3b3129; color: #faf7f1; cursor: pointer }
@media (max-height: 480px) { form { position: static } body { padding-bottom: 1rem } }
@media print { form, label.mark { display: none } article { break-inside: avoid } }
"""

_SCRIPT = """
const line = document.getElementById('line'), wish = document.getElementById('wish'), says = document.getElementById('says');
const marks = [...document.querySelectorAll('.mark input')];
function write() {
  const codes = marks.filter(m => m.checked).map(m => m.value);
  const asked = wish.value.replace(/\\s+/g, ' ').trim();
  line.form.classList.toggle('none', !codes.length);
  line.value = codes.length ? 'boards ' + codes.join(' ') + (asked ? '; wish: ' + asked : '') : '';
  says.textContent = codes.length ? codes.length + ' marked: copy this line and send it back'
    : 'Mark the boards that you like, then add a wish and send back the line that appears here';
}
marks.forEach(m => m.addEventListener('change', write));
wish.addEventListener('input', write);
document.querySelector('form').addEventListener('submit', async event => {
  event.preventDefault();
  if (!line.value) return;
  line.focus(); line.select();
  let done = false;
  try { await navigator.clipboard.writeText(line.value); done = true } catch { done = document.execCommand('copy') }
  says.textContent = done ? 'Copied: paste it into your answer' : 'Press and hold the line to copy it';
});
write();
"""


def offer_html(boards: Sequence[Offered], title: str, about: str) -> bytes:
    """Return the offer as one file: nothing is fetched, nothing is stored."""
    widest = max(b.size[0] for b in boards)
    cards = "\n".join(_card(b, widest) for b in boards)
    care = "".join(f"<li>{escape(c)}</li>" for c in _care(boards))
    policy = (
        "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'unsafe-inline';"
        " form-action 'none'; base-uri 'none'"
    )
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8"><meta'
        f' http-equiv="Content-Security-Policy" content="{policy}"><meta name="viewport"'
        ' content="width=device-width,'
        f' initial-scale=1"><title>{escape(title)}</title><style>{_STYLE}</style></head><body>\n<header><h1>{escape(title)}</h1><p>{escape(about)}</p><noscript><p>Write'
        " back the codes of the boards that you"
        f" like.</p></noscript></header>\n<main>\n{cards}\n</main>\n<section"
        f' class="care"><h2>Care</h2><ul>{care}</ul></section>\n<form><p id="says"'
        f' aria-live="polite"></p><input id="wish" maxlength="{_WISH}" autocomplete="off"'
        ' aria-label="A wish" placeholder="A wish, if you have one"><input id="line" readonly'
        ' aria-label="The line to send back" placeholder="The line to send'
        f' back"><button>Copy</button></form>\n<script>{_SCRIPT}</script></body></html>\n'
    ).encode()


def _card(b: Offered, widest: int) -> str:
    name, (w, h) = escape(b.name), b.size
    data = base64.b64encode(b.picture).decode()
    says = "".join(f"<p>{escape(s)}</p>" for s in b.says)
    return (
        f'<article><img src="data:image/jpeg;base64,{data}" width="{w}" height="{h}"'
        f' style="width:{100 * w / widest:.2f}%" alt="{name}"><h2>{name}</h2>{says}<p'
        f' class="code">code {b.code}</p><label class="mark"><input type="checkbox"'
        f' value="{b.code}" aria-label="Mark {name}">I like this one</label></article>'
    )


def offer_pdf(boards: Sequence[Offered], title: str, about: str, paper: str = "a4") -> bytes:
    """Return the offer as pages, two boards on each; the care of them on the last."""
    from reportlab.lib.utils import ImageReader

    text, bold = text_fonts()
    w, h = PAPER[paper]
    canvas, held = canvas_of((w, h), title)
    left, wide = _SIDE * POINTS, (w - 2 * _SIDE) * POINTS
    room = 122.0 * POINTS  # a board's picture and words
    y = (h - 20) * POINTS
    canvas.setFont(text, 20)
    canvas.drawString(left, y, fitting(canvas, title, text, 20, wide))
    canvas.setFont(text, 10)
    canvas.drawString(left, y - 16, fitting(canvas, about, text, 10, wide))
    y -= 26
    high = room - 19 * POINTS
    scale = min(*(wide / b.size[0] for b in boards), *(high / b.size[1] for b in boards))
    for board in boards:
        if y - room < 12 * POINTS:
            canvas.showPage()
            y = (h - 14) * POINTS
        size = (board.size[0] * scale, board.size[1] * scale)
        canvas.drawImage(
            ImageReader(io.BytesIO(board.picture)), left + (wide - size[0]) / 2, y - size[1], *size
        )
        low = y - size[1] - 6 * POINTS
        canvas.setFont(bold, 13)
        canvas.drawString(left, low, fitting(canvas, board.name, bold, 13, wide))
        canvas.setFont(text, 10)
        line = ";  ".join([*board.says, f"code {board.code}"])
        canvas.drawString(left, low - 14, fitting(canvas, line, text, 10, wide))
        y = low - 14 - 8 * POINTS
    cares = _care(boards)
    if y - 15 * len(cares) < 18 * POINTS:
        canvas.showPage()
        y = (h - 24) * POINTS
    canvas.setFont(bold, 12)
    canvas.drawString(left, y, "Care")
    canvas.setFont(text, 10)
    for i, care in enumerate(cares, start=1):
        canvas.drawString(left, y - 15 * i, care)
    canvas.showPage()
    canvas.save()
    return held.getvalue()


def _care(boards: Sequence[Offered]) -> Sequence[str]:
    """What is to be said of their care: an offer holds boards for food, or boards that are not."""
    return CARE if all(b.for_food for b in boards) else NOT_FOR_FOOD
