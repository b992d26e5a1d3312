"""Tables and lines on a screen, wrapped to its width."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any, TextIO

from towdb.report.text import plain, printable


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


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float, Decimal)) and not isinstance(value, bool)
