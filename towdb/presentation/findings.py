"""Findings of a folder, an inventory or an import, and their counts."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

from towdb.errors import FINDING_COLUMNS
from towdb.inventory.check import InventoryCheck, RuleCount
from towdb.presentation.how_read import how_read_lines
from towdb.reference.check import CheckResult
from towdb.report.answer import Answer, Section


def check_answer(result: CheckResult) -> Answer:
    """All of it, in every form; CSV is the findings alone."""
    foot = [f"{result.folder}: {result.errors} error(s), {result.warnings} warning(s)"]
    if result.ignored:
        foot.append(f"ignored, not part of a reference: {', '.join(result.ignored)}")
    return Answer(
        result.document,
        lambda: (FINDING_COLUMNS, map(dataclasses.astuple, result.found)),
        lambda: (),
        foot,
        findings=lambda: (result.found, len(result.found)),
    )


def inventory_check_answer(checked: InventoryCheck) -> Answer:
    """All of it, in every form; CSV is the findings alone; findings are fetched one by one."""
    return Answer(
        checked.document,
        lambda: (FINDING_COLUMNS, map(dataclasses.astuple, checked.found())),
        lambda: [Section("", RuleCount._fields, checked.counts)],
        list(inventory_check_lines(checked)),
        findings=lambda: (checked.found(), checked.errors + checked.warnings),
    )


def inventory_check_lines(checked: InventoryCheck) -> Iterator[str]:
    """How the inventory was read, and how many findings there are."""
    aside = checked.set_aside
    yield from how_read_lines(checked.notes, *((aside.rows, aside.path) if aside else (0, None)))
    if checked.left_empty:
        named = ", ".join(f"{column} {count:,}" for column, count in checked.left_empty.items())
        yield f"no verdict reads these cells; --leave-unreadable leaves them empty: {named}"
    counted = f"{checked.errors:,} error(s), {checked.warnings:,} warning(s)"
    yield f"{checked.name}: {checked.rows:,} row(s), {counted}"
