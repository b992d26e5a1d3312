"""Findings on a screen."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import islice
from typing import TextIO

from towdb.errors import Finding
from towdb.report.on_screen import console_on
from towdb.report.text import printable

# On screen; files get them all.
SHOWN = 200


def write_findings(found: Iterable[Finding], total: int, stream: TextIO) -> None:
    """For each finding where it is, what is wrong, and what to do; of `total`, the first."""
    from rich.padding import Padding
    from rich.text import Text

    console = console_on(stream)
    file = None
    for finding in islice(found, SHOWN):
        if finding.file != file:
            file = finding.file
            console.print(Text(printable(file), style="bold"))
        style = "bold red" if finding.severity == "error" else "yellow"
        head = Text.assemble((f"{finding.severity:8}", style), _place(finding))
        console.print(Padding(head, (0, 0, 0, 2), expand=False))
        says = f"{finding.message}  [{finding.rule}]\n{finding.remedy}"
        console.print(Padding(Text(printable(says)), (0, 0, 0, 10), expand=False))
    if total > SHOWN:
        console.print(f"… and {total - SHOWN:,} more; all of them with -o FILE.csv or .json")


def _place(finding: Finding) -> str:
    value = finding.value
    shown = f" = {_short(value)}" if value is not None else ""
    # A file of one table is named for it; in a workbook the sheet must be named.
    is_sheet = finding.table and not finding.file.startswith(f"{finding.table}.")
    parts = [
        finding.table if is_sheet else None,
        f"line {finding.line}" if finding.line else None,
        _short(finding.key) if finding.key and finding.key != value else None,
        f"{finding.column}{shown}" if finding.column else None,
    ]
    return printable(" · ".join(part for part in parts if part).replace("\n", " "))


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "…"
