"""The manuals of the demo as PDFs: each quote on the page that it cites, among invented prose.

A manual holds the pages that are cited, with their printed numbers as page labels. The same bytes
come out on every machine: nothing is compressed (compressors differ), no font is embedded (every
viewer has these), and the day is always the same. `PLANTED` are the quotes that deliberately do not
stand where their rows say.
"""

from __future__ import annotations

import io
import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache

from PIL import Image, ImageDraw, ImageFont
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from scripts.demo_manuals import DOCUMENTS, WITHOUT_FILE, sequence
from scripts.demo_manuals.notation import Cells, Document, entries

# Labels, plates and tickets are photographs, and statutes cite sections: neither has such pages.
PRINTED_KINDS = frozenset(
    {"owner_manual", "manual_supplement", "technical_bulletin", "maker_data", "part_manual"}
)


@dataclass(frozen=True)
class Miss:
    """A quote that deliberately does not stand on its page.

    `printed` is what the manual prints instead, and where; `status` what a look at it must say.
    """

    how: str
    source_id: str
    locator: str
    quote: str
    status: str = "not_found"
    printed: tuple[tuple[str, str], ...] = ()


PLANTED = (
    Miss(
        "it is on the next page",
        "quillon-om-pika-2022", "p. 222", "Shift the transmission to P.",
        printed=(("p. 223", "Shift the transmission to P."),),
    ),
    Miss(
        "another figure is printed",
        "tarrow-om-sedge-2020", "p. 171", "Do not cover more than 400 mi (640 km) in one day.",
        printed=(("p. 171", "Do not cover more than 300 mi (480 km) in one day."),),
    ),
    Miss(
        "its figure is cut out of a longer one",
        "bessarin-om-lowan-2021", "p. 195", "Maximum speed on a dolly: 55 mph.",
        printed=(("p. 195", "Maximum speed on a dolly: 55.5 mph."),),
    ),
    Miss(
        "another word is printed",
        "corvath-om-dapple-2020", "p. 266", "Not farther than 500 mi (800 km) on one trip.",
        printed=(("p. 266", "Not farther than 500 mi (800 km) on any trip."),),
    ),
    Miss(
        "its parts stand in another order",
        "bessarin-om-lowan-2021", "p. 335",
        "Draw with the fuses of page 193 removed, switch at ACC … 0.6 A",
        printed=(("p. 335", "0.6 A … Draw with the fuses of page 193 removed, switch at ACC"),),
    ),
    Miss(
        "its parts stand on two pages",
        "quillon-om-pika-2022", "p. 222",
        "Exception … an automatic with the optional two-speed transfer case may be towed with all"
        " four wheels on the ground once the transfer case is in N.",
        printed=(
            ("p. 222", "There is an exception; see over."),
            ("p. 223", "One case is allowed: an automatic with the optional two-speed transfer"
             " case may be towed with all four wheels on the ground once the transfer case is in"
             " N."),
        ),
    ),
    Miss(
        "its page was left out of the file",
        "dunmere-om-osier-2022", "p. 207", "A broken-down AW must not be pulled on its wheels.",
        status="page_missing",
    ),
    Miss(
        "its page was scanned",
        "tarrow-om-sedge-2020", "p. 244", "Have a broken-down Sedge fetched by a flatbed.",
        status="no_text_layer",
    ),
)  # fmt: skip
_MISSES = {(miss.source_id, miss.locator, miss.quote): miss for miss in PLANTED}

_PROSE = frozenset({"group", "statement", "step", "general_step"})
_PHASES = {
    "once": "Before the first time",
    "before": "Before you set out",
    "en_route": "On the way",
    "after": "When you arrive",
}
_SAYINGS = (
    "Read the whole chapter before you begin, and keep this book in the vehicle.",
    "Words in capitals are printed on the vehicle itself.",
    "Pictures show one version; yours may look different.",
    "Your dealer will gladly show you where everything is.",
    "If something here is not clear to you, ask before you set out.",
)


@cache
def printed() -> dict[str, bytes]:
    """The PDF of each printed document, by source."""
    return {
        document.source_id: _pdf(document, _sheets(document))
        for document in DOCUMENTS
        if document.kind in PRINTED_KINDS and document.source_id not in WITHOUT_FILE
    }


@cache
def file_pages(document: Document) -> dict[str, int]:
    """The page of the PDF for each locator; none of a document that is not printed."""
    if document.source_id not in printed():
        return {}
    return {locator: page for page, locator in enumerate(_sheets(document), 1)}


# ---------------------------------------------------------------- what a page says


@dataclass
class Sheet:
    """One printed page: paragraphs of (style, text).

    `item` is what the last paragraph is of, and `is_open` whether its sentence goes on.
    """

    paragraphs: list[tuple[str, str]] = field(default_factory=list)
    heading: str = ""
    item: tuple[str, ...] = ()
    is_open: bool = False
    is_scan: bool = False

    def add(self, shape: str, cells: Cells, quote: str) -> None:
        """Print what a line of the notation quotes, in running text with what precedes it."""
        if cells.get("heading", self.heading) != self.heading:
            self.heading = cells["heading"]
            self.paragraphs.append(("heading", self.heading))
        phase, number = cells.get("phase", ""), cells.get("printed_no", "")
        if phase and self.item[1:2] != (phase,):
            self.paragraphs.append(("heading", _PHASES[phase]))
        parts = [part.strip() for part in re.split(r"(?:^|\s)…(?=\s|$)", quote) if part.strip()]
        whole = [rf"(?<!\w){re.escape(part)}(?![\w/])" for part in parts]
        printed = any(all(re.search(part, text) for part in whole) for _, text in self.paragraphs)
        if shape == "step" or not printed:
            self._print((shape, phase, number), parts, quote.startswith("…"))
        self.is_open = quote.endswith("…")

    def _print(self, item: tuple[str, ...], parts: list[str], goes_on: bool) -> None:
        shape, _, number = item
        gap = " (see the picture) " if shape in _PROSE else " . . . . . "
        last = self.paragraphs[-1][1] if self.paragraphs and item == self.item else ""
        if len(parts) > 1 and last and parts[0] in last:
            # Two quotes of one sentence begin alike.
            parts = parts[1:]
        elif not ((goes_on and self.is_open) or (shape == "step" and number != "-")):
            last = ""
        words = gap.join(parts)
        self.item = item
        if last:
            self.paragraphs[-1] = (self.paragraphs[-1][0], _joined(last, words))
            return
        words = f"Here too: {words}" if goes_on else words
        if shape == "step" and number != "-":
            words = f"{number}. {words}"
        style = "group" if number == "-" else shape
        self.paragraphs.append((style if style in _STYLES else "text", words))


def _joined(text: str, words: str) -> str:
    """Two printed pieces as one sentence; what ends the first may begin the second."""
    most = min(len(text), len(words))
    shared = next((n for n in range(most, 3, -1) if text.endswith(f" {words[:n]}")), 0)
    return text + (words[shared:] if shared or not words else f" {words}")


def _sheets(document: Document) -> dict[str, Sheet]:
    """The pages of a document in printed order, by locator."""
    sheets: dict[str, Sheet] = {}
    locator = ""
    for shape, cells in entries(document.pages):
        locator = cells.get("locator") or locator
        if "quote" not in cells:
            continue
        miss = _MISSES.get((document.source_id, locator, cells["quote"]))
        if miss is None or miss.status == "no_text_layer":
            sheet = sheets.setdefault(locator, Sheet(is_scan=miss is not None))
            sheet.add(shape, cells, cells["quote"])
        else:
            for place, quote in miss.printed:
                sheets.setdefault(place, Sheet()).add(shape, cells, quote)
    for step in itertools.chain.from_iterable(sequence.SEQUENCES.values()):
        if step.get("source_id") == document.source_id:
            sheets.setdefault(step["locator"], Sheet()).add("general_step", step, step["quote"])
    return dict(sorted(sheets.items(), key=lambda each: _order(each[0])))


def _order(locator: str) -> tuple[bool, int]:
    label = locator.removeprefix("p. ")
    number = re.search(r"\d+", label)
    return number is not None, int(number[0]) if number else len(label)


# ---------------------------------------------------------------- how it looks

_WIDTH, _HEIGHT, _MARGIN, _GUTTER = 450, 636, 40, 16
_INVENTED = "Invented: no such document exists."
_STYLES = {
    "text": ("Helvetica", ""),
    "statement": ("Helvetica", ""),
    "limit": ("Helvetica", "• "),
    "group": ("Helvetica-Oblique", ""),
    "heading": ("Helvetica-Bold", ""),
}
# Where words may be broken.
_SYLLABLES = {
    word.replace("-", ""): word
    for word in (
        *("au-to-mat-ic", "bat-tery", "be-fore", "brak-ing", "dis-con-nect", "ig-ni-tion"),
        *("mo-tor-home", "neg-a-tive", "neu-tral", "park-ing", "pic-ture", "pull-ing"),
        *("re-con-nect", "re-lease", "re-move", "steer-ing", "trail-er", "trans-fer"),
        *("trans-mis-sion", "ve-hi-cle", "ve-hi-cles"),
    )
}
_TWO_COLUMNS = frozenset({"Dunmere Car Works", "Miradec", "Vantrel Truck Company", "Tethra Gear"})
_ROMAN = ("i", "ii", "iii", "iv", "v")


def _pdf(document: Document, sheets: dict[str, Sheet]) -> bytes:
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(_WIDTH, _HEIGHT), pageCompression=0, invariant=1)
    canvas.setTitle(document.title)
    canvas.setAuthor(document.issuer)
    for index, (locator, sheet) in enumerate(sheets.items()):
        label = locator.removeprefix("p. ")
        prefix, _, number = label.rpartition("-")
        arabic = number.isdecimal()
        canvas.addPageLabel(
            index,
            style="ARABIC" if arabic else "ROMAN_LOWER",
            start=int(number) if arabic else _ROMAN.index(number) + 1,
            prefix=f"{prefix}-" if prefix else None,
        )
        _sheet(canvas, document, label, sheet, _SAYINGS[index % len(_SAYINGS)])
    canvas.save()
    return out.getvalue()


def _sheet(canvas: Canvas, document: Document, label: str, sheet: Sheet, saying: str) -> None:
    head, foot = document.title, f"{label}  ·  {_INVENTED}"
    if sheet.is_scan:
        _scan(canvas, [head, *(text for _, text in sheet.paragraphs), foot])
    else:
        paragraphs = [("text", saying), *sheet.paragraphs]
        _lines(canvas, _MARGIN, _HEIGHT - 35, 8, [("Helvetica", head)])
        count = 2 if document.issuer in _TWO_COLUMNS and len(paragraphs) > 8 else 1
        width = (_WIDTH - 2 * _MARGIN - (count - 1) * _GUTTER) / count
        size, lines = _set(paragraphs, width, count * (_HEIGHT - 105))
        rows = -(-len(lines) // count)
        for column in range(count):
            left = _MARGIN + column * (width + _GUTTER)
            _lines(canvas, left, _HEIGHT - 60, size, lines[column * rows : (column + 1) * rows])
        _lines(canvas, _MARGIN, 30, 8, [("Helvetica", foot)])
    canvas.showPage()


def _lines(
    canvas: Canvas, left: float, top: float, size: float, lines: list[tuple[str, str]]
) -> None:
    text = canvas.beginText(left, top)
    font = ""
    for each, line in lines:
        if each != font:
            font = each
            text.setFont(font, size, leading=1.3 * size)
        text.textLine(line)
    canvas.drawText(text)


def _set(
    paragraphs: list[tuple[str, str]], width: float, height: float
) -> tuple[float, list[tuple[str, str]]]:
    """Paragraphs as lines of (font, text), in the largest size that fits."""
    for size in (11.0, 10.0, 9.0, 8.0, 7.0):
        lines: list[tuple[str, str]] = []
        last = "heading"
        for style, text in paragraphs:
            font, mark = _STYLES[style]
            if style in ("heading", "group", "statement") and last != "heading":
                lines.append((font, ""))
            last = style
            lines += [(font, line) for line in _wrapped(mark + text, font, size, width)]
        if len(lines) * 1.3 * size <= height:
            return size, lines
    raise ValueError("a page has more than fits on it")


def _wrapped(text: str, font: str, size: float, width: float) -> Iterator[str]:
    line = ""
    for word in text.split(" "):
        pieces = _pieces(word)
        while pieces:
            # As many pieces of the word as fit, with a hyphen where it is broken.
            blank = " " if line else ""
            for count in range(len(pieces), -1, -1):
                start = "".join(pieces[:count])
                broken = count < len(pieces) and count > 0 and not start.endswith("-")
                longer = f"{line}{blank}{start}{'-' if broken else ''}" if count else line
                if stringWidth(longer, font, size) <= width or not (line or count > 1):
                    break
            line, pieces = longer, pieces[count:]
            if pieces:
                yield line
                line = ""
    yield line


def _pieces(word: str) -> list[str]:
    bare = word.strip(".,;:()").lower()
    if bare in _SYLLABLES and bare in word:
        start, _, end = word.partition(bare)
        pieces = _SYLLABLES[bare].split("-")
        return [start + pieces[0], *pieces[1:-1], pieces[-1] + end]
    return re.findall(r"[^-]+-?|-", word)


def _scan(canvas: Canvas, lines: list[str]) -> None:
    """A page as a scanner leaves it: dots, no letters."""
    font = ImageFont.load_default_imagefont()
    image = Image.new("1", (340, 14 * len(lines)), 1)
    for number, line in enumerate(lines):
        ImageDraw.Draw(image).text((0, 14 * number), line, font=font, fill=0)
    path = canvas.beginPath()
    for y in range(image.height):
        row = "".join(" #"[image.getpixel((x, y)) == 0] for x in range(image.width))
        for dots in re.finditer("#+", row):
            width = dots.end() - dots.start()
            path.rect(_MARGIN + dots.start(), _HEIGHT - 40 - y, width, 1)
    canvas.drawPath(path, stroke=0, fill=1)
