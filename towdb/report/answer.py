"""What a command found, in every form in which it is written.

People read sections, on a screen or as a page; programs read the document (JSON) or one table
(CSV). A section is a title, a table and notes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

Table = tuple[Sequence[str], Iterable[Sequence[Any]]]


class Section(NamedTuple):
    """One part of an answer.

    Attributes
    ----------
    title : str
        The line above the table; empty: none.
    columns : sequence of str
        Headings of the table.
    rows : sequence
        Its rows; without any, no table is written.
    notes : sequence of str
        Lines below it.
    """

    title: str = ""
    columns: Sequence[str] = ()
    rows: Sequence[Sequence[Any]] = ()
    notes: Sequence[str] = ()


@dataclass(frozen=True)
class Answer:
    """What a command found, in every form in which it can be written.

    Attributes
    ----------
    document : callable
        The document that JSON holds.
    table : callable
        Columns and rows of CSV.
    sections : callable
        What people read.
    foot : sequence of str
        The lines at the end, the caution among them.
    lead : sequence of str
        Lines above everything else: what was read.
    title : str
        Of a page.
    picture : callable, optional
        An SVG picture for a page, and what it shows, for people who cannot see it.
    """

    document: Callable[[], Mapping[str, Any]]
    table: Callable[[], Table]
    sections: Callable[[], Iterable[Section]]
    foot: Sequence[str]
    lead: Sequence[str] = ()
    title: str = ""
    picture: Callable[[], tuple[bytes, str] | None] | None = None
