"""What a statement requires, a line each, with the page of every line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from towdb.wording.procedure import procedure

Record = Mapping[str, Any]


def procedure_lines(
    conditions: Sequence[Record], units: str, title: str | None = None
) -> Iterator[str]:
    """Limits, then steps by phase under the numbers of the page, each with where it is printed.

    `title` is the document named above the list; only others are named again.
    """
    for heading, items in procedure(conditions, units):
        yield f"    {heading}"
        for item in items:
            number = f"{item.number}. " if item.number else ""
            margin = "      " + "   " * (item.condition["kind"] == "fuse")
            pages = ", ".join(page_of(c, title) for c in item.condition["citations"])
            yield f"{margin}{number}{item.text} [{pages}]"
            yield from (f"{margin}   {note}" for note in item.notes)


def page_of(citation: Record, title: str | None = None) -> str:
    """A cited row by document, page and key; without the document where it is `title`."""
    where = citation["title"] or citation["table"].replace("_", " ")
    named = "" if title is not None and where == title else f"{where}, "
    return f"{named}{citation['locator']} ({citation['key']})"
