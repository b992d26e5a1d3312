"""A record that was created, what was imported into it, and what was written from it."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from pathlib import Path

from towdb.errors import FINDING_COLUMNS
from towdb.record.entry import ImportResult
from towdb.reference.release import BuildResult
from towdb.report.answer import Answer, Section
from towdb.report.figures import counted

# Of cells that were changed; JSON lists them all.
_CHANGED_SHOWN = 20


def begun_line(name: str) -> str:
    """That an empty record was created."""
    return f"{name}: an empty record; fill it with: towdb record import"


def template_line(path: Path) -> str:
    """What to do with a workbook."""
    return f"{path}: type a page, then: towdb record import {path}"


def import_answer(result: ImportResult, *, dry_run: bool) -> Answer:
    """What was imported, and what is wrong with it; CSV is the findings alone."""
    # The last line states once that new rows await a check.
    told = [each for each in result.findings if each.rule != "rows_are_checked"]
    return Answer(
        result.document,
        lambda: (FINDING_COLUMNS, map(dataclasses.astuple, result.findings)),
        lambda: [Section(notes=list(_lines(result, dry_run)))],
        findings=lambda: (told, len(told)),
    )


def _lines(result: ImportResult, dry_run: bool) -> Iterator[str]:
    would = "would be " if dry_run or not result.ok else ""
    for difference in result.changed[:_CHANGED_SHOWN]:
        was, becomes = (cell or "empty" for cell in (difference.was, difference.becomes))
        yield f"  {difference.table} {difference.key}: {difference.column}: {was} -> {becomes}"
    if len(result.changed) > _CHANGED_SHOWN:
        yield f"  … and {len(result.changed) - _CHANGED_SHOWN:,} more cells"
    for table, key in result.withdrawn:
        yield f"  {table} {key}: {would}withdrawn: its statement came whole without it"
    changed = len({(d.table, d.key) for d in result.changed})
    withdrawn = f" {len(result.withdrawn):,} {would}withdrawn," if result.withdrawn else ""
    yield (
        f"{counted(len(result.added), 'row')} {would}added, {changed:,} {would}changed,{withdrawn}"
        f" {result.left:,} left as they are"
    )
    if not result.ok:
        yield "Nothing was imported; correct what is listed, then import again."
    elif result.change:
        yield f"Change {result.change.number}. What awaits a check: towdb record review"


def exported_line(folder: Path, rows: int) -> str:
    """How many rows a folder has."""
    return f"{folder}: {rows:,} rows"


def released_line(path: Path, change: int, built: BuildResult) -> str:
    """Which release was built, as of which change."""
    return (
        f"{path}: release {built.release_id[:12]}, as of change {change},"
        f" {sum(built.rows.values()):,} rows, {built.check.warnings:,} warnings"
    )
