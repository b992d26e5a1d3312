"""What a command found, in every form in which it is written.

People read sections, on a screen or as a page; programs read the document (JSON) or one table
(CSV). A section is a title, a table and notes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from towdb.errors import Finding

Table = tuple[Sequence[str], Iterable[Sequence[Any]]]
Document = Mapping[str, Any] | Sequence[Mapping[str, Any]]


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
    document : callable, optional
        The document for JSON, an array or an object; None: the rows of the table, one by
        one. A value of an object that is an iterator is written one by one too.
    table : callable
        Columns and rows of CSV, where it is offered; rows may be fetched one by one.
    sections : callable, optional
        What people read; None: the table, of which a screen shows the first rows.
    foot : sequence of str
        The lines at the end, the caution among them.
    lead : sequence of str
        Lines above everything else: what was read.
    title : str
        Of a page.
    picture : callable, optional
        An SVG picture for a page, and what it shows, for people who cannot see it.
    findings : callable, optional
        What breaks a rule, which people read first, and how many there are.
    """

    document: Callable[[], Document] | None = None
    table: Callable[[], Table] = lambda: ((), ())
    sections: Callable[[], Iterable[Section]] | None = None
    foot: Sequence[str] = ()
    lead: Sequence[str] = ()
    title: str = ""
    picture: Callable[[], tuple[bytes, str] | None] | None = None
    findings: Callable[[], tuple[Iterable[Finding], int]] | None = None


def table_answer(
    columns: Sequence[str], rows: Iterable[Sequence[Any]], foot: Sequence[str] = ()
) -> Answer:
    """An answer that is one table in every form; `foot` is for people alone."""
    return Answer(table=lambda: (columns, rows), foot=foot)


def lines_answer(lines: Iterable[str], table: Callable[[], Table]) -> Answer:
    """An answer that people read as lines, and programs as one table."""
    return Answer(table=table, sections=lambda: [Section(notes=list(lines))])
