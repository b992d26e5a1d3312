"""Whether the words that a row quotes are on the page that it cites.

`confirm` looks up every cited row in the documents. It reads as a person reads: across the ends of
lines and the hyphens there, ligatures, kinds of dashes and quotes, capitals. It does not guess: a
word or a figure is there whole, or not at all. A quote that is on its page does not prove that the
row understood it; the person who checks the row decides that.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import InvalidOperation
from pathlib import Path
from typing import Any

from towdb.contract.model import contract
from towdb.errors import Finding, UsageError
from towdb.record.evidence.pages import Pages, read_pages
from towdb.record.evidence.quotes import LEAST_LETTERS, PageText, Quote, figure_in, letters

STATUSES = {
    "confirmed": "the quote is on the cited page",
    "not_found": "the quote is not on the cited page",
    "page_missing": "the document has no such page, or the locator does not name one",
    "no_text_layer": "the cited page has no text that could be read",
    "no_document": "no document is attached, or it cannot be read",
}
_REMEDIES = {
    "not_found": "correct the locator or the quote",
    "page_missing": "correct the locator, or give the file_page",
    "no_text_layer": "compare it by eye, or attach a copy with text",
    "no_document": "attach the document",
}
# Head and foot of a page have at most so many lines each.
_MARGIN_LINES = 3


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the documents show about one cited row.

    Attributes
    ----------
    table, key, source_id, locator : str
        The row, and the page that it cites, as printed.
    status : str
        A word of `STATUSES`.
    found_on : str
        The page where the quote is; if it is not on the cited one, the nearest; empty if nowhere.
    value_in_quote : str
        ``yes``: every figure of the row is in its quote with its unit. ``no``, or
        ``not_applicable``: the row has no figure.
    remark : str
        What a person should know about it; empty if there is nothing.
    """

    table: str
    key: str
    source_id: str
    locator: str
    status: str
    found_on: str
    value_in_quote: str
    remark: str


@dataclass(frozen=True, slots=True)
class Summary:
    """How much of a record the documents confirm.

    Attributes
    ----------
    rows : int
        Rows that cite a source: every table but `source`, without common practice.
    counts : dict
        Rows by status, in the order of `STATUSES`.
    values_missing : int
        Rows with a figure that is not in their quote.
    share : float or None
        Confirmed rows among all that cite; ``None`` if there are none.
    share_of_documents : float or None
        Confirmed rows among those whose document could be opened.
    """

    rows: int
    counts: dict[str, int]
    values_missing: int
    share: float | None
    share_of_documents: float | None


def confirm(
    rows: Iterable[tuple[str, Mapping[str, Any]]], documents: Mapping[str, Path | Pages]
) -> list[Evidence]:
    """Look up the quote of every cited row in its document.

    Parameters
    ----------
    rows : iterable of (str, mapping)
        The table and the cells of each row; a cell is text, a number, or empty or ``None``.
        Rows without a source (common practice, and the sources themselves) are skipped. A withdrawn
        source is looked up like any other: it still shows what was relied on.
    documents : mapping
        The document of each `source_id`: a file, or pages that are open already.

    Returns
    -------
    list of Evidence
        One for each row that cites, in the order of the rows.

    Raises
    ------
    UsageError
        If the contract has no such table.
    """
    books: dict[Path | Pages, _Book | str] = {}
    return [
        _evidence(table, cells, _book(cells["source_id"], documents, books))
        for table, cells in _cited(rows)
    ]


def summary(evidence: Iterable[Evidence]) -> Summary:
    """Count by status, and the share confirmed."""
    evidence = list(evidence)
    counts = Counter(each.status for each in evidence)
    opened = len(evidence) - counts["no_document"]
    return Summary(
        rows=len(evidence),
        counts={status: counts[status] for status in STATUSES},
        values_missing=sum(each.value_in_quote == "no" for each in evidence),
        share=counts["confirmed"] / len(evidence) if evidence else None,
        share_of_documents=counts["confirmed"] / opened if opened else None,
    )


def findings(evidence: Iterable[Evidence]) -> Iterator[Finding]:
    """Findings about rows: errors where a document contradicts its row."""
    for each in evidence:
        if each.status != "confirmed":
            found = f"it is on {each.found_on}" if each.found_on else ""
            message = "; ".join(filter(None, (STATUSES[each.status], found, each.remark)))
            severity = "error" if each.status in ("not_found", "page_missing") else "warning"
            yield _finding(
                each, "quotes_stand_on_their_page", severity, message, _REMEDIES[each.status]
            )
        if each.value_in_quote == "no":
            yield _finding(
                each,
                "figures_stand_in_their_quote",
                "warning",
                "a figure of the row is not in its quote",
                "quote the words that contain the figure, as printed",
            )


def _finding(each: Evidence, rule: str, severity: str, message: str, remedy: str) -> Finding:
    return Finding(
        file=f"{each.table}.csv",
        line=None,
        table=each.table,
        key=each.key,
        column="quote",
        value=None,
        rule=rule,
        severity=severity,
        message=f"{each.source_id}, {each.locator}: {message}",
        remedy=remedy,
    )


# ---------------------------------------------------------------- one row


def _cited(rows: Iterable[tuple[str, Mapping[str, Any]]]) -> Iterator[tuple[str, dict[str, str]]]:
    tables = contract().tables
    for table, row in rows:
        if table not in tables:
            raise UsageError(f"no table {table!r:.80} in the contract")
        cells = {name: "" if cell is None else str(cell).strip() for name, cell in row.items()}
        if tables[table].cited and cells.get("source_id"):
            yield table, cells


def _book(
    source_id: str,
    documents: Mapping[str, Path | Pages],
    books: dict[Path | Pages, _Book | str],
) -> _Book | str:
    """The document of a source, or why there is none; one of several sources is opened once."""
    document = documents.get(source_id)
    if document is None:
        return ""
    if document not in books:
        try:
            pages = document if isinstance(document, Pages) else read_pages(document)
            books[document] = _Book(pages)
        except UsageError as error:
            books[document] = str(error)
    return books[document]


def _evidence(table: str, cells: Mapping[str, str], book: _Book | str) -> Evidence:
    quote = Quote(cells.get("quote", ""))
    locator = cells.get("locator", "")
    if isinstance(book, str):
        status, found_on, remark = "no_document", "", book
    else:
        named = book.pages.named(locator, cells.get("file_page", ""))
        status, found_on, remark = _looked_up(quote, named.numbers, book)
        remark = "; ".join(filter(None, (named.remark, remark)))
    return Evidence(
        table=table,
        key=cells.get(contract().tables[table].key, ""),
        source_id=cells["source_id"],
        locator=locator,
        status=status,
        found_on=found_on,
        value_in_quote=_value_in_quote(table, cells),
        remark=remark,
    )


def _looked_up(quote: Quote, numbers: tuple[int, ...], book: _Book) -> tuple[str, str, str]:
    """Status, page and remark of a quote on the pages that its row names."""
    name = book.pages.name
    for number in numbers if quote.is_enough else ():
        if quote.stands_in(book.page(number)):
            return "confirmed", name(number), ""
        if any(quote.stands_in(PageText(each)) for each in book.pages.columns(number)):
            return "confirmed", name(number), "read in columns"
        if book.runs_over(quote, number):
            both = f"{name(number)} and {name(number + 1)}"
            return "confirmed", both, f"runs over from {name(number)} to {name(number + 1)}"
    status = "not_found"
    if not numbers:
        status = "page_missing"
    elif not any(book.page(number).text for number in numbers):
        status = "no_text_layer"
    if not quote.is_enough:
        return status, "", f"the quote has no part of {LEAST_LETTERS} letters or digits"
    nearest = book.nearest(quote, numbers[0] if numbers else 1)
    faults = ", ".join(filter(None, map(book.pages.fault, numbers)))
    return status, name(nearest) if nearest else "", faults


class _Book:
    """One document: its pages, and each page as it is compared, made once."""

    def __init__(self, pages: Pages) -> None:
        self.pages = pages
        self._texts: dict[int, PageText] = {}

    def page(self, number: int) -> PageText:
        if number not in self._texts:
            self._texts[number] = PageText(self.pages.text(number))
        return self._texts[number]

    def runs_over(self, quote: Quote, number: int) -> bool:
        if number == self.pages.count:
            return False
        return quote.runs_over(self._body(number), self._body(number + 1))

    def _body(self, number: int) -> str:
        """The text of a page between its running head and foot."""
        around = range(max(1, number - 2), min(self.pages.count, number + 2) + 1)
        running = set().union(*(self._margin(near) for near in around if near != number))
        lines = list(self.page(number).lines)
        for at in (0, -1):
            for _ in range(_MARGIN_LINES):
                if lines and _running(lines[at], number) in running:
                    del lines[at]
        return "\n".join(lines)

    def _margin(self, number: int) -> set[str]:
        lines = self.page(number).lines
        ends = lines[:_MARGIN_LINES] + lines[-_MARGIN_LINES:]
        return {_running(line, number) for line in ends}

    def nearest(self, quote: Quote, around: int) -> int | None:
        numbers = sorted(range(1, self.pages.count + 1), key=lambda number: abs(number - around))
        return next((n for n in numbers if quote.stands_in(self.page(n))), None)


def _value_in_quote(table: str, cells: Mapping[str, str]) -> str:
    figures = [
        (cells[each.name], each.unit or cells.get(each.unit_in or "", ""))
        for each in contract().tables[table].fields
        if each.type == "number" and (each.unit or each.unit_in) and cells.get(each.name)
    ]
    if not figures:
        return "not_applicable"
    try:
        stands = all(figure_in(cells.get("quote", ""), *figure) for figure in figures)
    except InvalidOperation:  # a cell that is not a number; `check` reports it
        stands = False
    return "yes" if stands else "no"


def _running(line: str, number: int) -> str:
    """What a line in the margin has in common with that of another page."""
    if line.isdecimal() and len(line) < 9:
        return str(int(line) - number)
    return re.sub(r"\d+", "", letters(line))
