"""Findings as a table on screen, JSON and CSV."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TextIO

from towdb.report.rows import console_on, json_text, printable, write_csv

# On screen; the files hold them all.
SHOWN = 200


def write_findings_json(
    columns: Sequence[str],
    rows: Iterable[Sequence[Any]],
    errors: int,
    warnings: int,
    stream: TextIO,
    more: Mapping[str, Any] | None = None,
) -> None:
    """``{"ok", "errors", "warnings", "findings"}``; what is absent is null.

    `more` holds what is told before the findings.
    """
    told = {"ok": errors == 0, "errors": errors, "warnings": warnings, **(more or {})}
    stream.write("{\n")
    for key, value in told.items():
        stream.write(f"  {json_text(key)}: {json_text(value)},\n")
    stream.write('  "findings": [')
    between = "\n"
    for row in rows:
        stream.write(f"{between}    {json_text(dict(zip(columns, row, strict=True)))}")
        between = ",\n"
    stream.write("]\n}\n" if between == "\n" else "\n  ]\n}\n")


def write_findings_csv(
    columns: Sequence[str], rows: Iterable[Sequence[Any]], stream: TextIO
) -> None:
    """One row a finding, ten columns."""
    write_csv(columns, rows, stream)


def write_findings_table(
    columns: Sequence[str],
    rows: Iterable[Sequence[Any]],
    stream: TextIO,
    foot: Sequence[str],
    total: int | None = None,
) -> None:
    """For each finding where it is, what is wrong, and what to do.

    `total` says how many there are where `rows` are fetched one by one.
    """
    from rich.padding import Padding
    from rich.text import Text

    console = console_on(stream)
    file = None
    count = len(rows) if total is None and isinstance(rows, Sequence) else total or 0
    for row in itertools.islice(rows, SHOWN):
        finding = dict(zip(columns, row, strict=True))
        if finding["file"] != file:
            file = finding["file"]
            console.print(Text(printable(str(file)), style="bold"))
        style = "bold red" if finding["severity"] == "error" else "yellow"
        head = Text.assemble((f"{finding['severity']:8}", style), _place(finding))
        console.print(Padding(head, (0, 0, 0, 2), expand=False))
        says = f"{finding['message']}  [{finding['rule']}]\n{finding['remedy']}"
        console.print(Padding(Text(printable(says)), (0, 0, 0, 10), expand=False))
    if count > SHOWN:
        console.print(f"… and {count - SHOWN:,} more; all of them with -o FILE.csv or .json")
    for line in foot:
        console.print(Text(printable(line)))


def _place(finding: Mapping[str, Any]) -> str:
    value = finding["value"]
    shown = f" = {_short(value)}" if value is not None else ""
    # A file of one table is named for it; of a workbook the sheet must be told.
    is_sheet = finding["table"] and not str(finding["file"]).startswith(f"{finding['table']}.")
    parts = [
        finding["table"] if is_sheet else None,
        f"line {finding['line']}" if finding["line"] else None,
        _short(finding["key"]) if finding["key"] and finding["key"] != value else None,
        f"{finding['column']}{shown}" if finding["column"] else None,
    ]
    return printable(" · ".join(part for part in parts if part).replace("\n", " "))


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "…"
