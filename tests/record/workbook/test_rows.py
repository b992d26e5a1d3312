"""Rows of any kind, written into the template and read again, are the same rows."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import openpyxl
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.helpers.typed_workbooks import DAY, PERSON, read
from towdb.contract.grammar import fault
from towdb.contract.model import Field, contract
from towdb.invisible import has_unseen
from towdb.record.workbook.cells import cell_text, known_words
from towdb.record.workbook.layout import DEFAULTS, NAMED_BY, UNTYPED, layout
from towdb.record.workbook.rows import EnteredRow, Line, enter
from towdb.record.workbook.template import put, with_page_headers, write_template

TABLES = list(contract().tables)
ENTRY = {"entered_by": PERSON, "entered_on": DAY.isoformat()}
Row = dict[str, str | None]

CHARACTERS = st.sampled_from("ab =+-@#'\"_x0041|,.\n\t") | st.characters(
    exclude_categories=["Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"],
    exclude_characters="\u115f\u1160\u2800\u3164\uffa0",
)
TEXTS = st.text(CHARACTERS, min_size=1, max_size=9).map(str.strip).filter(bool)
IDS = st.text("abc019-.", min_size=1, max_size=5)


def texts_of(field: Field) -> st.SearchStrategy[str]:
    """Texts that a reference folder may have in a field."""
    name = field.vocabulary or ("yes_no" if field.type == "yes_no" else None)
    words = st.sampled_from(sorted(contract().vocabularies[name].words)) if name else TEXTS
    several = st.lists(words, min_size=1, max_size=3, unique=True)
    found = {
        "id": IDS,
        "ids": st.lists(IDS, min_size=1, max_size=3, unique=True).map(", ".join),
        "word": words if name else IDS,
        "yes_no": words,
        "word_list": several.map(", ".join),
        "words": st.one_of(
            st.just("any"),
            several.map(" | ".join),
            several.map(lambda some: "not " + " | ".join(some)),
        ),
        "number": st.decimals(1, 100, places=2).map(lambda number: f"{number.normalize():f}"),
        "integer": st.integers(1, 20).map(str),
        "date": st.dates().map(str),
    }.get(field.type, TEXTS)
    return st.just(field.good) | found.filter(lambda text: not fault(field, text))


@st.composite
def rows_of(draw: st.DrawFn, table: str) -> list[Row]:
    """Rows that know themselves: what the tool could make is filled."""
    spec, lay = contract().tables[table], layout(table)
    sourced = spec.cited and draw(st.booleans())
    filled = {*lay.made, *(["source_id"] if sourced else [])} - {spec.key}
    others = [c for c in lay.columns if c not in filled and c != spec.key]
    rows: list[Row] = []
    for number in range(draw(st.integers(0, 5))):
        row: Row = {c: None for c in spec.columns if c not in UNTYPED}
        for column in [*filled, *draw(st.lists(st.sampled_from(others), max_size=5))]:
            # Few different ones in a header, so that rows share a page.
            good = spec.field(column).good
            few = st.sampled_from([good, good.replace("2", "3")])
            row[column] = draw(few if column in lay.header else texts_of(spec.field(column)))
        row[spec.key] = f"row-{number}"
        rows.append(row)
    return rows


def entered(table: str, rows: Sequence[Row]) -> list[EnteredRow]:
    lay = layout(table)
    lines = [
        Line(number, {c: text for c, text in row.items() if text})
        for number, row in enumerate(with_page_headers(lay, rows), 2)
    ]
    found, told = enter(lay, lines, ENTRY)
    assert {one.fault.rule for one in told} <= {"required"}
    return found


def plain(rows: Sequence[EnteredRow]) -> list[Row]:
    return [{c: t for c, t in row.cells.items() if c not in UNTYPED} for row in rows]


@given(st.data())
def test_page_headers_change_no_row(data: st.DataObject) -> None:
    table = data.draw(st.sampled_from(TABLES))
    rows = data.draw(rows_of(table))
    assert plain(entered(table, rows)) == rows


@settings(max_examples=6)
@given(st.data())
def test_rows_in_a_workbook_are_read_again(data: st.DataObject) -> None:
    tables = data.draw(st.sets(st.sampled_from(TABLES), min_size=1, max_size=4))
    rows = {table: data.draw(rows_of(table)) for table in sorted(tables)}
    with TemporaryDirectory() as folder:
        path = Path(folder) / "entry.xlsx"
        write_template(path, rows=rows)
        found = read(path)
    assert {finding.rule for finding in found.findings} <= {"required", "word"}
    for table, expected in rows.items():
        assert [row.sheet for row in found.rows.get(table, [])] == [table] * len(expected)
        read_again = plain(found.rows.get(table, []))
        # A word that the row's property does not know is reported, and is in no row.
        for row in (*read_again, *expected):
            row.pop("word", None)
        assert read_again == expected


@given(st.lists(TEXTS, min_size=1, max_size=20))
def test_a_text_in_a_cell_is_read_again(texts: list[str]) -> None:
    assert not any(map(has_unseen, texts))
    book = openpyxl.Workbook()
    for line, text in enumerate(texts, 1):
        put(book.active.cell(line, 1), text).number_format = "@"
    stream = io.BytesIO()
    book.save(stream)
    sheet = openpyxl.load_workbook(stream).active
    title = contract().tables["source"].field("title")
    assert [cell_text(title, sheet.cell(line, 1)) for line in range(1, len(texts) + 1)] == texts


@given(st.data())
def test_what_is_said_twice_is_said_once(data: st.DataObject) -> None:
    table = contract().tables[data.draw(st.sampled_from(TABLES))]
    field = data.draw(st.sampled_from(table.fields))
    text = data.draw(texts_of(field) | TEXTS)
    once = known_words(field, text)
    assert known_words(field, once) == once
    if not fault(field, text):
        assert once == text


@given(st.data())
def test_short_forms_and_capitals_mean_their_words(data: st.DataObject) -> None:
    tables = contract().tables.values()
    closed = [f for t in tables for f in t.fields if f.vocabulary and f.type in ("word", "words")]
    field = data.draw(st.sampled_from(closed))
    vocabulary = contract().vocabularies[field.vocabulary or ""]
    forms = {word: word for word in vocabulary.words} | dict(vocabulary.aliases)
    form = data.draw(st.sampled_from(sorted(forms)))
    change: Any = data.draw(st.sampled_from([str, str.upper, str.title, lambda text: f"  {text} "]))
    blank = data.draw(st.sampled_from(["_", " ", "-"]))
    typed = change(form.replace("_", blank))
    # Only units differ by their capitals, and a person may write them in any.
    meant = {forms[name] for name in forms if name.casefold() == form.casefold()}
    assert known_words(field, typed) in meant


@given(st.data())
def test_ids_are_made_the_same_whatever_stands_between(data: st.DataObject) -> None:
    table = data.draw(st.sampled_from(sorted(NAMED_BY)))
    lay = layout(table)
    rows = [{**row, lay.table.key: None} for row in data.draw(rows_of(table))]
    rows = [row for row in rows if any(row[c] for c in lay.columns if c not in lay.header)]
    before = {row.row: row for row in read_lines(table, rows)}
    left_out = data.draw(st.sets(st.sampled_from(range(len(rows))) if rows else st.nothing()))
    kept = [row for number, row in enumerate(rows) if number not in left_out]
    ids = [row.cells[lay.table.key] for row in before.values()]
    expected = [key for number, key in enumerate(ids) if number not in left_out]
    assert [row.cells[lay.table.key] for row in read_lines(table, kept)] == expected


def read_lines(table: str, rows: Sequence[Row]) -> list[EnteredRow]:
    lines = [
        Line(number, {c: text for c, text in row.items() if text})
        for number, row in enumerate(rows, 2)
    ]
    return enter(layout(table), lines, ENTRY)[0]


@given(st.data())
def test_nothing_that_is_typed_is_lost(data: st.DataObject) -> None:
    """Every filled cell is in a row that it applies to, or is reported."""
    table = data.draw(st.sampled_from([t for t in TABLES if layout(t).header]))
    lay = layout(table)
    own = next(c for c in lay.columns if c not in lay.header)
    cells = st.dictionaries(
        st.sampled_from([*lay.header, own]), st.sampled_from("abc"), min_size=1, max_size=3
    )
    lines = [Line(n, row) for n, row in enumerate(data.draw(st.lists(cells, max_size=8)), 2)]
    rows, told = enter(lay, lines, ENTRY)
    expected: list[Row] = []
    idle = {(line.number, c) for line in lines for c in line.cells}
    held: dict[str, tuple[str | None, int]] = {}
    for line in lines:
        # As the first sheet explains it, cell by cell from the left.
        here: dict[str, tuple[str | None, int]] = {}
        for column in lay.header:
            if column in line.cells:
                break
            if column in held:
                here[column] = held[column]
        here |= {c: (text, line.number) for c, text in line.cells.items() if c in lay.header}
        if own in line.cells:
            expected.append({c: text for c, (text, _) in here.items()})
            idle -= {(number, c) for c, (_, number) in here.items()} | {(line.number, own)}
        else:
            held = here
    assert [{c: r.cells[c] for c in lay.header if r.cells[c]} for r in rows] == expected
    assert {(one.line, one.column) for one in told if one.fault.rule == "header"} == idle


def test_what_an_empty_cell_means_is_a_word() -> None:
    for column, text in DEFAULTS.items():
        assert not fault(contract().tables["eligibility"].field(column), text)
