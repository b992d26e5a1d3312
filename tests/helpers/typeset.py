"""PDFs whose text is known, because a general PDF library has just printed it; and a typesetter."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from hypothesis import strategies as st
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

Draw = Callable[[Canvas], None]


class Shelf:
    """A source of pages that counts how often each is read."""

    def __init__(self, *texts: str) -> None:
        self.texts = texts
        self.reads: list[tuple[str, int]] = []

    def __len__(self) -> int:
        return len(self.texts)

    def text(self, index: int) -> str:
        self.reads.append(("text", index))
        return self.texts[index]

    def layout(self, index: int) -> str:
        self.reads.append(("layout", index))
        return self.texts[index]


def pdf(path: Path, *pages: Draw, labels: Sequence[tuple[Any, ...]] = (), **options: Any) -> Path:
    """A PDF with one page for each drawing; labels are (index, style, start, prefix)."""
    canvas = Canvas(str(path), **options)
    for label in labels:
        canvas.addPageLabel(*label)
    for draw in pages:
        draw(canvas)
        canvas.showPage()
    canvas.save()
    return path


def lines(*texts: str, left: float = 72, top: float = 740, font: str = "Helvetica") -> Draw:
    """Lines of text, one below the other."""

    def draw(canvas: Canvas) -> None:
        text = canvas.beginText(left, top)
        text.setFont(font, 12)
        for line in texts:
            text.textLine(line)
        canvas.drawText(text)

    return draw


def together(*drawings: Draw) -> Draw:
    def draw(canvas: Canvas) -> None:
        for each in drawings:
            each(canvas)

    return draw


def unicode_font() -> str:
    """A font that reportlab ships, with ligatures and all kinds of dashes."""
    pdfmetrics.registerFont(TTFont("Vera", "Vera.ttf"))
    return "Vera"


# Nothing of these is changed by NFKC or by folding, so that the naive oracle may compare them.
WORDS = st.sampled_from(
    [
        *("tow", "the", "vehicle", "with", "four", "wheels", "on", "ground", "Do", "not", "shift"),
        *("transfer", "case", "neutral", "before", "officer", "effect", "flat", "fix", "N", "2H"),
        *("four-wheel", "all-season", "F12", "ACC"),
    ]
)
NUMBERS = st.one_of(
    st.integers(1, 99_999).map(lambda n: f"{n:,}"),
    st.decimals(0, 999, places=1, allow_nan=False).map(str),
)
FIGURES = st.tuples(
    NUMBERS, st.sampled_from(["lb", "mph", "mi", "°F", "km/h", "in", "A"])
).map(" ".join)  # fmt: skip
TOKENS = st.one_of(WORDS, WORDS, FIGURES)
_LIGATURES = {"ffi": "ﬃ", "ff": "ﬀ", "fi": "ﬁ", "fl": "ﬂ"}


@st.composite
def typeset(draw: st.DrawFn, text: str) -> str:
    """A text as a printer sets it: lines and words broken, ligatures, other dashes, other case."""
    if draw(st.booleans()):
        for plain, ligature in _LIGATURES.items():
            text = text.replace(plain, ligature)
    out = []
    for at, char in enumerate(text):
        following = text[at + 1 : at + 2]
        match draw(st.integers(0, 9)), char:
            case ((0 | 1 | 2), " "):
                out.append(draw(st.sampled_from(["\n", "  ", "\u00a0", " \n ", "\u2009"])))
            case ((0 | 1 | 2), "-"):
                out.append(draw(st.sampled_from(["\u2010", "\u2011", "-\n", "\u2013", "\u00ad"])))
            case 0, _ if char.isalpha() and following.isalpha() and at:
                out.append(char + draw(st.sampled_from(["-\n", "\u00ad\n", "\u2010\n", "\u00ad"])))
            case 1, _ if char.isascii() and char.isalpha():
                out.append(char.upper())
            case _:
                out.append(char)
    return "".join(out)
