"""The rules of schema/rules: each states a truth as SQL and returns the rows that break it."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache

import duckdb

from towdb.contract import ddl
from towdb.contract.model import contract
from towdb.contract.typed import read_date
from towdb.errors import Finding
from towdb.reference.folder import TextTable
from towdb.reference.relations import JUDGED, view_sql
from towdb.resources import schema_path

# Of one rule; more would fill the memory, and nobody would read them.
MAX_LISTED = 100_000


@dataclass(frozen=True)
class Rule:
    """One rule: its name, its truth in words, the message of a breach, and how grave it is."""

    name: str
    truth: str
    wrong: str
    severity: str
    sql: str


@cache
def rules() -> tuple[Rule, ...]:
    """All rules, by name."""
    return tuple(
        _parse(path.stem, path.read_text("utf-8"))
        for path in sorted((schema_path() / "rules").glob("*.sql"))
    )


def _parse(name: str, text: str) -> Rule:
    head = dict(
        line[3:].split(": ", 1)
        for line in text.splitlines()
        if line.startswith(("-- truth: ", "-- wrong: ", "-- severity: "))
    )
    return Rule(name, head["truth"], head["wrong"], head["severity"], text.rstrip().rstrip(";"))


def stage(
    con: duckdb.DuckDBPyConnection, tables: dict[str, TextTable], on: datetime.date | None = None
) -> None:
    """Create every relation that rules read, from text that the field checks have seen.

    Parameters
    ----------
    con : DuckDBPyConnection
        An empty in-memory database.
    tables : dict
        Tables as text, faulty cells empty; one that is absent is created empty.
    on : date, optional
        The day for which they are checked; today by default.
    """
    con.execute("CREATE SCHEMA towdb_data")
    for table in contract().tables.values():
        con.execute(ddl.create_table(table, guarded=False))
        if table.name in tables:
            con.register("text_frame", tables[table.name].frame)
            con.execute(
                f"INSERT INTO towdb_data.{table.name}"
                f" SELECT {ddl.typed_columns(table)} FROM text_frame"
            )
            con.unregister("text_frame")
    con.execute("CREATE TABLE towdb_data.judged_on AS SELECT $1::DATE AS on_date", [read_date(on)])
    for statement in (*ddl.vocabulary_relations(), *ddl.derived_relations()):
        con.execute(statement)
    for name in JUDGED:
        con.execute(f"CREATE VIEW towdb_data.{name} AS {view_sql(name)}")


def broken(con: duckdb.DuckDBPyConnection, rule: Rule) -> list[tuple[str | None, ...]]:
    """The rows that break a rule: table, key, column, value, remedy."""
    return con.execute(
        'SELECT "table", "key", "column", CAST("value" AS VARCHAR), "remedy"'
        f" FROM ({rule.sql}\n) AS broken ORDER BY ALL"
    ).fetchall()


def rule_findings(
    con: duckdb.DuckDBPyConnection, tables: dict[str, TextTable], chosen: Iterable[Rule]
) -> Iterator[Finding]:
    """Findings of the given rules, with the file and line of each row."""
    lines: dict[str, dict[str, int]] = {}
    for rule in chosen:
        rows = broken(con, rule)
        for table, key, column, value, remedy in rows[:MAX_LISTED]:
            text = tables.get(table or "")
            if text and text.table.name not in lines:
                keys = text.frame[text.table.key]
                lines[text.table.name] = dict(
                    zip(keys.to_list(), text.frame.index.to_list(), strict=True)
                )
            yield Finding(
                file=text.file if text else f"{table}.csv",
                line=lines[text.table.name].get(key or "") if text else None,
                table=table,
                key=key,
                column=column,
                value=value,
                rule=rule.name,
                severity=rule.severity,
                message=rule.wrong,
                remedy=remedy or "",
            )
        if len(rows) > MAX_LISTED:
            yield _more(tables, rule, rows)


def _more(tables: dict[str, TextTable], rule: Rule, rows: list[tuple[str | None, ...]]) -> Finding:
    table = rows[MAX_LISTED][0]
    text = tables.get(table or "")
    return Finding(
        text.file if text else f"{table}.csv", None, table, None, None, None, rule.name,
        rule.severity, f"{rule.wrong}: {len(rows) - MAX_LISTED:,} more, not listed",
        "correct those listed and check again",
    )  # fmt: skip
