"""A shop's record for tests: the clean base folder in it, a clock that is set by hand, raw SQL."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import psycopg
import pytest
from hypothesis import strategies as st

from tests.helpers import postgres
from tests.helpers.folders import BASE, read_table, write_table
from towdb.contract.model import contract
from towdb.record.entry import ImportResult, import_path
from towdb.record.store import record as store
from towdb.record.store.record import Change, Record, Row, Rows
from towdb.record.store.tables import ENTRY

# Imre types, Dunya compares; the base folder was entered and checked before the record began.
IMRE, DUNYA, BODIL = "Imre Solvang", "Dunya Orrel", "Bodil Fjellstrand"
ENTERED_ON, CHECKED_ON = "2025-03-14", "2025-03-20"
BEGUN = datetime(2025, 4, 1, 9, 0)
MICROSECOND = timedelta(microseconds=1)
DATABASES = ("sqlite", "postgresql")

# Whatever can be printed and typed, with what CSV, SQL and drivers might stumble over.
PRINTED = st.text(
    st.characters(exclude_categories=["C", "Zl", "Zp"]) | st.sampled_from("\n\t'\"%:?;\\"),
    min_size=1,
    max_size=40,
)


class Clock:
    """The clock on the wall of the shop."""

    def __init__(self, now: datetime = BEGUN) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now

    def forward(self, **span: float) -> None:
        self.now += timedelta(**span)

    @property
    def day(self) -> str:
        return self.now.date().isoformat()


def as_instant(at: str) -> datetime:
    """The time of a change."""
    return datetime.fromisoformat(at).astimezone(UTC).replace(tzinfo=None)


def as_typed(instant: datetime) -> str:
    """An instant as a person types it after ``--as-of``."""
    return instant.isoformat(timespec="microseconds") + "Z"


# ---------------------------------------------------------------- rows


def base_rows(*, is_checked: bool = True) -> Rows:
    """The rows of the base folder: all columns, empty cells None."""
    rows: Rows = {}
    for name, table in contract().tables.items():
        there = read_table(BASE, name) if (BASE / f"{name}.csv").exists() else []
        rows[name] = [{c: row.get(c) or None for c in table.columns} for row in there]
        if not is_checked:
            rows[name] = [row | dict.fromkeys(ENTRY[2:]) for row in rows[name]]
    return rows


def write_folder(folder: Path, rows: Mapping[str, list[Row]]) -> Path:
    """A reference folder of the tables that have rows."""
    folder.mkdir()
    for name, listed in rows.items():
        if listed:
            write_table(folder, name, [{c: cell or "" for c, cell in r.items()} for r in listed])
    return folder


def row_of(rows: Rows, table: str, key: str) -> Row:
    """One row by its key."""
    column = contract().tables[table].key
    (found,) = [row for row in rows[table] if row[column] == key]
    return found


def keys(rows: Rows, table: str) -> list[str | None]:
    """The keys of a table's rows."""
    return [row[contract().tables[table].key] for row in rows[table]]


def without(rows: Rows, gone: list[tuple[str, str]]) -> Rows:
    """The rows that are left without some."""
    return {
        name: [row for row in listed if (name, row[contract().tables[name].key]) not in gone]
        for name, listed in rows.items()
    }


def with_cells(rows: Rows, table: str, key: str, **cells: str | None) -> Rows:
    """The rows with some cells of one of them changed."""
    changed = row_of(rows, table, key)
    return {
        **rows,
        table: [row | cells if row is changed else row for row in rows[table]],
    }


def by_key(rows: Mapping[str, list[Row]]) -> dict[str, list[Row]]:
    """The tables as the record gives them: rows by key; all tables of the contract."""
    return {
        name: sorted(rows.get(name, []), key=lambda row: str(row[table.key]))
        for name, table in contract().tables.items()
    }


def coach(key: str, **cells: str | None) -> Row:
    """A row of table coach, as it is typed: no entry, a plate of the base folder cited."""
    return {
        "coach_id": key, "name": f"Brackwater {key}", "model_year": "2014", "note": None,
        "source_id": "coach-plate", "locator": "door frame", "file_page": None,
        "quote": "BRACKWATER", "basis": "cited",
    } | cells  # fmt: skip


def entered(row: Row, who: str = IMRE, on: str = ENTERED_ON) -> Row:
    """A row with its entry, unchecked."""
    return row | {"entered_by": who, "entered_on": on, "checked_by": None, "checked_on": None}


def typed(row: Row, **cells: str | None) -> Row:
    """A row as somebody types it again: its entry is not typed."""
    return {c: cell for c, cell in row.items() if c not in ENTRY} | cells


def fill(record: Record, rows: Mapping[str, list[Row]], who: str = IMRE) -> Change:
    """Put rows on record as they are: no rule of the contract looks at them."""
    with record.changing(who, "filled") as changing:
        for name, listed in rows.items():
            changing.add(name, listed)
    return changing.change


def bring(record: Record, folder: Path, who: str = IMRE, **options: Any) -> ImportResult:
    """Import a folder that must be accepted."""
    result = import_path(record, folder, who=who, **options)
    assert result.ok, result.findings
    return result


def errors(result: ImportResult) -> list[tuple[str, int | None, str | None, str | None, str]]:
    """File, line, table, column and rule of what an import is refused for."""
    return [
        (f.file, f.line, f.table, f.column, f.rule)
        for f in result.findings
        if f.severity == "error"
    ]


# ---------------------------------------------------------------- databases


class RefusedError(Exception):
    """The database refused it, in the words of its own client."""


def raw(url: str, sql: str, *values: object) -> list[tuple[Any, ...]]:
    """Run SQL with the database's own client, as somebody could who has no towdb."""
    if url.startswith("postgresql"):
        try:
            with psycopg.connect(url) as server:
                done = server.execute(sql.replace("?", "%s").encode(), values)
                return done.fetchall() if done.description else []
        except psycopg.Error as error:
            raise RefusedError(str(error)) from None
    try:
        with closing(sqlite3.connect(url)) as file, file:
            return file.execute(sql, values).fetchall()
    except sqlite3.Error as error:
        raise RefusedError(str(error)) from None


class Place:
    """Where records of one kind of database are made, and copied."""

    def __init__(self) -> None:
        self.made = 0
        self.filled: dict[bool, str] = {}

    def address(self) -> str:
        """An address of its own; for PostgreSQL, of a database that is there."""
        raise NotImplementedError

    def copied(self, url: str) -> str:
        """The address of a copy; nobody has the original open."""
        raise NotImplementedError

    def drop(self, url: str) -> None:
        """Remove what is at an address."""
        raise NotImplementedError

    @contextmanager
    def fresh(self) -> Iterator[str]:
        """An address without a record."""
        url = self.address()
        try:
            yield url
        finally:
            self.drop(url)

    @contextmanager
    def shop(self, folder: Path, *, is_checked: bool) -> Iterator[str]:
        """A copy of a record into which the base folder was imported, once."""
        if is_checked not in self.filled:
            self.filled[is_checked] = self._filled(folder, is_checked)
        url = self.copied(self.filled[is_checked])
        try:
            yield url
        finally:
            self.drop(url)

    def _filled(self, folder: Path, is_checked: bool) -> str:
        url = self.address()
        source = write_folder(folder / "base", base_rows(is_checked=is_checked))
        with pytest.MonkeyPatch.context() as patch, Record(url, create=True) as record:
            patch.setattr(store, "_now", Clock())
            bring(record, source)
        return url


class SqlitePlace(Place):
    """A folder of files."""

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self.folder = folder

    def address(self) -> str:
        self.made += 1
        return str(self.folder / f"{self.made}.sqlite")

    def copied(self, url: str) -> str:
        copy = self.address()
        shutil.copyfile(url, copy)
        return copy

    def drop(self, url: str) -> None:
        for end in ("", "-wal", "-shm"):
            Path(url + end).unlink(missing_ok=True)


class PostgresPlace(Place):
    """A server; `server` is its address with a gap for the database."""

    def __init__(self, server: str) -> None:
        super().__init__()
        self.server = server

    def _run(self, sql: str) -> None:
        with psycopg.connect(self.server.format(database="postgres"), autocommit=True) as con:
            con.execute(sql.encode())

    def _created(self, template: str) -> str:
        self.made += 1
        self._run(f'CREATE DATABASE "{self.made}" TEMPLATE "{template}"')
        return self.server.format(database=self.made)

    def address(self) -> str:
        return self._created("template1")

    def copied(self, url: str) -> str:
        return self._created(_database(url))

    def drop(self, url: str) -> None:
        self._run(f'DROP DATABASE "{_database(url)}" WITH (FORCE)')


def place_of(request: pytest.FixtureRequest) -> Place:
    """Where records of the database are made that the fixture's parameter names."""
    found = request.getfixturevalue(f"{request.param}_place")
    assert isinstance(found, Place)
    return found


def _database(url: str) -> str:
    return url.split("?")[0].rpartition("/")[2]


def connections(url: str) -> int:
    """How many others have a record open; of a file only whether anybody has."""
    if url.startswith("postgresql"):
        others = (
            "SELECT count(*) FROM pg_stat_activity"
            " WHERE datname = current_database() AND pid <> pg_backend_pid()"
        )
        return int(raw(url, others)[0][0])
    # SQLite's documentation: the last connection to close removes the log (https://sqlite.org/wal.html).
    return int(Path(f"{url}-wal").exists())


def require_postgres() -> None:
    """Skip where no PostgreSQL is installed; in CI, where it is, that is a fault."""
    if postgres.binaries() is None:
        reason = "PostgreSQL is not installed: no initdb"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)


def below_statement(rows: Rows, statement: str) -> list[tuple[str, str]]:
    """A statement with its steps, fuses and limits, found by reading the folder."""
    found = [("eligibility", statement)]
    for step in rows["procedure_step"]:
        if step["eligibility_id"] == statement:
            found.append(("procedure_step", str(step["procedure_step_id"])))
            found += [
                ("fuse_pull", str(fuse["fuse_pull_id"]))
                for fuse in rows["fuse_pull"]
                if fuse["procedure_step_id"] == step["procedure_step_id"]
            ]
    return found + [
        ("towing_limit", str(limit["towing_limit_id"]))
        for limit in rows["towing_limit"]
        if limit["eligibility_id"] == statement
    ]
