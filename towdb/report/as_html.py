"""Tables and a picture as one HTML page that needs no other file; everything in it is escaped."""

from __future__ import annotations

import base64
import importlib.util
import re
from collections.abc import Iterable
from pathlib import Path
from typing import TextIO

from towdb.errors import UsageError
from towdb.report.answer import Section
from towdb.report.text import printable

_FIGURE = re.compile(r"[<> ]*[\d.,]+( (%|lb|kg))?|")


def check_page() -> None:
    """Check that pages can be written.

    Raises
    ------
    UsageError
        If the library that writes them is missing.
    """
    if importlib.util.find_spec("jinja2") is None:
        raise UsageError("HTML pages need Jinja2; install it with: pip install 'towdb[html]'")


def write_page(
    title: str,
    sections: Iterable[Section],
    foot: Iterable[str],
    stream: TextIO,
    *,
    picture: tuple[bytes, str] | None = None,
    lead: Iterable[str] = (),
) -> None:
    """Write a page: sections of a line, columns, rows and lines below; a foot; an SVG picture.

    The lines of the lead come first.

    A picture comes with a description, for people who cannot see it.
    """
    from jinja2 import Environment, StrictUndefined

    page = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True).from_string(
        Path(__file__).with_name("as_html.html").read_text("utf-8")
    )
    image, caption = picture or (b"", "")
    stream.write(
        page.render(
            title=printable(title),
            lead=[printable(line) for line in lead],
            sections=[_section(section) for section in sections],
            foot=[printable(line) for line in foot],
            picture=base64.b64encode(image).decode("ascii"),
            picture_caption=printable(caption),
        )
    )


def _section(section: Section) -> dict[str, object]:
    kinds = [
        "figure" if all(_FIGURE.fullmatch(str(row[i]).strip()) for row in section.rows) else ""
        for i in range(len(section.columns))
    ]
    return {
        "title": printable(section.title),
        "columns": list(zip(map(printable, section.columns), kinds, strict=True)),
        "rows": [
            [(printable(str(cell).strip()), kind) for cell, kind in zip(row, kinds, strict=True)]
            for row in section.rows
        ],
        "notes": [printable(text) for text in section.notes],
    }
