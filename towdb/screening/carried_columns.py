"""Columns of the candidates that the verdict table carries: price, lot, or a dealer's own."""

from __future__ import annotations

from collections.abc import Iterable

from towdb.contract.grammar import fold
from towdb.duck.literals import quoted
from towdb.duck.sql_files import columns_of
from towdb.errors import UsageError, did_you_mean
from towdb.intake.candidates import InventoryRows
from towdb.screening.engine import output_sql


def carried_columns(loaded: InventoryRows, wanted: Iterable[str]) -> dict[str, str]:
    """What each wanted column is called in ``inventory_rows``, by the requested name.

    Raises
    ------
    UsageError
        If there is no such column, one is named twice, or a verdict has one of that name.
    """
    headers = {fold(text): column for column, text in reversed(loaded.headers.items())}
    known = headers | {column: column for column in loaded.columns}
    own = {fold(name) for name in columns_of(output_sql("verdict"))}
    faults, found = [], dict[str, str]()
    for name in (text.strip() for text in wanted):
        if fold(name) not in known:
            shown = ", ".join(loaded.headers.values() or loaded.columns)
            faults.append(f"{name or '(empty)'}: no such column{did_you_mean(name, known)};"
                          f" choose from {shown}")  # fmt: skip
        elif fold(name) in own:
            faults.append(f"{name}: the verdict table already has this column; leave it out")
        elif fold(name) in map(fold, found):
            faults.append(f"{name}: is named twice; keep one of them")
        else:
            found[name] = known[fold(name)]
    if faults:
        raise UsageError("\n".join(f"with columns: {fault}" for fault in faults))
    return found


def verdicts_with(columns: dict[str, str], *, ordered: bool) -> str:
    """The SELECT of the verdict table, each car's own columns beside its verdict."""
    sql = output_sql("verdict", ordered=ordered)
    if not columns:
        return sql
    cells = "".join(
        f", inventory_rows.{quoted(column)} AS {quoted(name)}" for name, column in columns.items()
    )
    rows = "FROM verdict_kg AS v"
    return sql.replace(
        rows,
        f"{cells} {rows} JOIN inventory_rows ON inventory_rows.candidate_no = v.candidate_no",
        1,
    )
