"""Columns and rows as JSON, CSV and a table on screen."""

from __future__ import annotations

import csv
import json
import os
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any, TextIO

from towdb.invisible import show_unseen
from towdb.report.answer import Document

# A spreadsheet would take these as a formula, some of them in full width too; the guide to commands
# documents that reports are escaped so.
_SIGNS = "=+@\uff1d\uff0b\uff0d\uff20-"
_FORMULA = (*_SIGNS, "\t", "\r")
# Where a program that reads other separators than commas begins a new cell, or a new row.
_NEW_CELL = re.compile(f'([;\t\r\n]"*)(?=[{_SIGNS}])')


def write_json(columns: Sequence[str], rows: Iterable[Sequence[Any]], stream: TextIO) -> None:
    """An array of objects; decimals as numbers, digit for digit, dates as ISO text."""
    names = [json.dumps(name, ensure_ascii=False) for name in columns]
    separator = "[\n"
    for row in rows:
        cells = ", ".join(
            f"{name}: {json_text(cell)}" for name, cell in zip(names, row, strict=True)
        )
        stream.write(f"{separator}  {{{cells}}}")
        separator = ",\n"
    stream.write("[]\n" if separator == "[\n" else "\n]\n")


def write_document(value: Document, stream: TextIO) -> None:
    """A nested document as JSON, one key a line; what is an iterator in it, one item a line."""
    if isinstance(value, Mapping) and any(isinstance(each, Iterator) for each in value.values()):
        _write_streams(value, stream)
    else:
        stream.write(json.dumps(value, indent=2, ensure_ascii=False, default=_json_number) + "\n")


def _write_streams(value: Mapping[str, Any], stream: TextIO) -> None:
    before = "{\n"
    for key, each in value.items():
        stream.write(f"{before}  {json_text(key)}: ")
        if isinstance(each, Iterator):
            separator = "[\n"
            for item in each:
                stream.write(f"{separator}    {json_text(item)}")
                separator = ",\n"
            stream.write("[]" if separator == "[\n" else "\n  ]")
        else:
            stream.write(json_text(each))
        before = ",\n"
    stream.write("\n}\n")


def _json_number(value: Any) -> Any:
    if isinstance(value, Decimal):
        return int(value) if value == value.to_integral_value() else float(value)
    return str(value)


def json_text(value: Any) -> str:
    """One value as JSON."""
    match value:
        case Decimal() if value.is_finite():
            return plain(value)
        case float() if value != value or value in (float("inf"), float("-inf")):
            return "null"
        case None | bool() | int() | float() | str():
            return json.dumps(value, ensure_ascii=False)
        case Mapping():
            inner = (f"{json.dumps(str(k))}: {json_text(v)}" for k, v in value.items())
            return "{" + ", ".join(inner) + "}"
        case list() | tuple():
            return "[" + ", ".join(json_text(item) for item in value) + "]"
    return json.dumps(str(value), ensure_ascii=False)


def write_csv(columns: Sequence[str], rows: Iterable[Sequence[Any]], stream: TextIO) -> None:
    """CSV for people: what a spreadsheet would run as a formula gets ``'`` before it."""
    writer = csv.writer(_Lines(stream), lineterminator="\r\n")
    writer.writerow([_harmless(name) for name in columns])
    writer.writerows([_csv_cell(cell) for cell in row] for row in rows)


class _Lines:
    # The csv module quotes a return inside a cell only if it ends its lines with one.
    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, line: str) -> None:
        self._stream.write(line.removesuffix("\r\n") + "\n")


def write_table(
    columns: Sequence[str], rows: Sequence[Sequence[Any]], stream: TextIO, foot: Iterable[str] = ()
) -> None:
    """A table that wraps to the screen, and lines below it.

    What has too many columns for the screen is written as a list, a column a line.
    """
    # Narrower columns would break every word of them.
    if len(columns) > 2 and len(columns) * 10 > console_on(stream).width:
        _write_list(columns, rows, stream)
        write_lines(foot, stream)
        return
    from rich import box
    from rich.table import Table
    from rich.text import Text

    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, header_style="bold")
    numeric = [
        any(row[i] is not None for row in rows)
        and all(row[i] is None or _is_number(row[i]) for row in rows)
        for i in range(len(columns))
    ]
    for name, right in zip(columns, numeric, strict=True):
        # Prose folds; a number that folded would be misread.
        table.add_column(
            Text(printable(name)),
            justify="right" if right else "left",
            no_wrap=right,
            overflow="fold",
        )
    for row in rows:
        table.add_row(*(Text(screen_text(cell)) for cell in row))
    if columns:
        console_on(stream).print(table)
    write_lines(foot, stream)


def _write_list(columns: Sequence[str], rows: Sequence[Sequence[Any]], stream: TextIO) -> None:
    for number, row in enumerate(rows, start=1):
        cells = [(name, screen_text(cell)) for name, cell in zip(columns, row, strict=True)]
        filled = [(name, text) for name, text in cells if text]
        write_table((f"row {number}", "empty columns are left out"), filled, stream)


def write_lines(lines: Iterable[str], stream: TextIO) -> None:
    """Lines of prose that wrap to the screen; what wraps keeps its indentation."""
    from rich.padding import Padding
    from rich.text import Text

    console = console_on(stream)
    for line in lines:
        if not line:
            stream.write("\n")
            continue
        text = printable(line.lstrip(" "))
        indent = len(line) - len(line.lstrip(" "))
        console.print(Padding(Text(text), (0, 0, 0, indent), expand=False))


def console_on(stream: TextIO) -> Any:
    """A rich console that writes to a stream, in colour only on a terminal."""
    from rich.console import Console

    # Without a terminal rich takes 80 columns; a file can be read at 100.
    console = Console(file=stream, highlight=False, soft_wrap=False)
    if not console.is_terminal and "COLUMNS" not in os.environ:
        console.width = 100
    if console.width < 1:
        console.width = 100
    return console


def screen_text(value: Any) -> str:
    """One value as it is read on screen."""
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case Decimal():
            return plain(value)
    return printable(str(value))


def plain(value: Decimal) -> str:
    """A decimal digit for digit, without trailing zeros."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def printable(text: str) -> str:
    """Text without what acts on a terminal or cannot be seen; its code point shows instead."""
    return show_unseen(text)


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float, Decimal)) and not isinstance(value, bool)


def _csv_cell(value: Any) -> Any:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        return screen_text(value)
    return _harmless(value) if isinstance(value, str) else value


def _harmless(text: str) -> str:
    inner = _NEW_CELL.sub(r"\1'", text)
    return f"'{inner}" if text.startswith(_FORMULA) else inner
