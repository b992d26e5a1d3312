"""The record: current rows, earlier rows, and who changed what, when and why.

A record is a SQLite file, or a PostgreSQL database for several seats. Every change has a number; a
row is current from its change until, but not including, the change that ended it.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pandas as pd
from sqlalchemy import (
    Connection,
    bindparam,
    delete,
    func,
    insert,
    inspect,
    literal,
    select,
    union_all,
    update,
)
from sqlalchemy import (
    exc as sql_errors,
)

from towdb.contract.model import contract
from towdb.errors import UsageError
from towdb.record.store.database import engine_of, error_text, name_of, read_url, require_file
from towdb.record.store.names_and_times import person_name, read_moment, reason
from towdb.record.store.tables import current, history, metadata
from towdb.reference.folder import TextTable

Row = dict[str, str | None]
Rows = dict[str, list[Row]]
# Any number will do, so long as all seats use the same.
_LOCK = 7_403_121


@dataclass(frozen=True)
class Change:
    """One change: its number, when (UTC), who, and why."""

    number: int
    at: str
    who: str
    why: str

    @property
    def day(self) -> str:
        """The day of the change, ISO 8601."""
        return self.at[:10]

    def comes_as(self, judged: Change) -> bool:
        """Whether what was judged for another change applies to this one: nobody wrote meanwhile.

        Rows name the day on which they were entered: on another day they are different rows.
        """
        return (self.number, self.day) == (judged.number, judged.day)


class Record:
    """A record that was opened.

    Attributes
    ----------
    name : str
        Its name in messages: a path, or an address without its password.
    """

    def __init__(self, url: str, *, create: bool = False) -> None:
        self._url = read_url(url)
        self.name = name_of(self._url)
        if self._is_sqlite:
            require_file(Path(self.name), create=create)
        self._engine = engine_of(self._url)
        try:
            self._begin(create=create)
        except BaseException:
            self.close()
            raise

    def _begin(self, *, create: bool) -> None:
        if create:
            self._create()
            return
        with self.reading() as con:
            is_there = inspect(con).has_table("record_info")
        if not is_there:
            raise UsageError(f"{self.name}: is not a record; create one with: towdb record init")
        self._require_version()

    @property
    def _is_sqlite(self) -> bool:
        return self._url.get_backend_name() == "sqlite"

    def _require_none(self, con: Connection) -> None:
        if inspect(con).has_table("record_info"):
            raise UsageError(
                f"{self.name}: is already a record; it was not changed. Name another one"
            )

    def _create(self) -> None:
        with self.reading() as con:
            self._require_none(con)
        if self._is_sqlite:
            with self.reading() as con:
                # The setting is kept in the file: readers do not wait for writers.
                con.exec_driver_sql("COMMIT")
                con.exec_driver_sql("PRAGMA journal_mode = WAL")
        with self._writing() as con:
            # Somebody else may have begun it meanwhile.
            self._require_none(con)
            metadata().create_all(con)
            info = metadata().tables["record_info"]
            con.execute(insert(info), [{"name": "contract_version", "value": contract().version}])

    def _require_version(self) -> None:
        info = metadata().tables["record_info"]
        with self.reading() as con:
            version = con.scalar(select(info.c.value).where(info.c.name == "contract_version"))
        if version is None or version.split(".")[0] != contract().version.split(".")[0]:
            raise UsageError(
                f"{self.name}: was made for contract {version}, but this towdb is for"
                f" {contract().version}; use a towdb for contract {version}"
            )

    # ------------------------------------------------------------ connections

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection on which all reads see the same state."""
        with self._without_a_traceback(), self._engine.connect() as con:
            if not self._is_sqlite:
                con = con.execution_options(isolation_level="REPEATABLE READ")
            con.info["writes"] = False
            yield con

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        with self._without_a_traceback(), self._engine.connect() as con:
            con.info["writes"] = True
            is_committing = False
            try:
                with con.begin():
                    if not self._is_sqlite:
                        con.execute(select(func.pg_advisory_xact_lock(_LOCK)))
                    yield con
                    is_committing = True
            except sql_errors.OperationalError as error:
                if not is_committing or self._is_sqlite:
                    raise
                # The server may have written it before the line went dead.
                raise UsageError(
                    f"{self.name}: {error_text(error)}; the connection failed during commit; check"
                    " whether it was saved with: towdb record history"
                ) from None

    @contextmanager
    def _without_a_traceback(self) -> Iterator[None]:
        try:
            yield
        except UnicodeEncodeError as error:
            broken = ascii(error.object[:60])
            raise UsageError(f"{broken}: contains a broken character; type it again") from None
        except sql_errors.IntegrityError as error:
            raise UsageError(f"{self.name}: refused by the database: {error_text(error)}") from None
        except sql_errors.SQLAlchemyError as error:
            raise UsageError(f"{self.name}: {error_text(error)}; nothing was changed") from None

    @contextmanager
    def changing(self, who: str, why: str) -> Iterator[Changing]:
        """One change, under the one lock: all of it is written, or none.

        Parameters
        ----------
        who, why : str
            Who changes the record, and for what reason.

        Raises
        ------
        UsageError
            If it cannot be written.
        """
        with self._writing() as con:
            yield Changing(con, _next_change(con, who, why))

    @contextmanager
    def looking(self, who: str, why: str) -> Iterator[Changing]:
        """The state that a change would be made on, without the lock: for reading only."""
        with self.reading() as con:
            yield Changing(con, _next_change(con, who, why))

    # ------------------------------------------------------------ current and earlier rows

    def changes(self) -> list[Change]:
        """All changes, in order."""
        table = metadata().tables["change"]
        with self.reading() as con:
            return [Change(*row) for row in con.execute(select(table).order_by(table.c.number))]

    def last_change(self) -> int:
        """The number of the last change; 0 before the first."""
        table = metadata().tables["change"]
        with self.reading() as con:
            return con.scalar(select(func.max(table.c.number))) or 0

    def last(self) -> Change | None:
        """The last change; None before the first."""
        table = metadata().tables["change"]
        with self.reading() as con:
            row = con.execute(select(table).order_by(table.c.number.desc()).limit(1)).first()
        return Change(*row) if row else None

    def change_at(self, moment: int | str | datetime.date | None) -> int:
        """The last change at or before a moment: a change number, or a time in UTC.

        A day alone means its end. None: now.

        Raises
        ------
        UsageError
            If there is no such change, or the text is not a time.
        """
        last = self.last_change()
        if moment is None:
            return last
        if isinstance(moment, int) or re.fullmatch(r"\s*[0-9]{1,4000}\s*", str(moment)):
            number = int(str(moment))
            if not 0 <= number <= last:
                raise UsageError(f"--as-of {number}: the record has changes 1 to {last}")
            return number
        until = read_moment(str(moment))
        table = metadata().tables["change"]
        with self.reading() as con:
            return con.scalar(select(func.max(table.c.number)).where(table.c.at <= until)) or 0

    def rows(self, as_of: int | None = None) -> Rows:
        """All rows by table, in the order of their keys, as they were after a change."""
        with self.reading() as con:
            return {name: rows_of(con, name, as_of) for name in contract().tables}

    def tables(self, as_of: int | None = None) -> dict[str, TextTable]:
        """The same in the form of a reference folder: frames of text."""
        return text_tables(self.rows(as_of), self.name)

    def close(self) -> None:
        """Close the database."""
        self._engine.dispose()

    def __enter__(self) -> Record:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


@dataclass
class Changing:
    """A change that is being written."""

    con: Connection
    change: Change
    _is_entered: bool = False

    def _enter_change(self) -> None:
        # A change that changes nothing leaves no trace.
        if not self._is_entered:
            self.con.execute(
                insert(metadata().tables["change"]),
                [{"number": self.change.number, "at": self.change.at, "who": self.change.who,
                  "why": self.change.why}],
            )  # fmt: skip
            self._is_entered = True

    def add(self, name: str, rows: Sequence[Mapping[str, str | None]]) -> None:
        """Add rows that are not there."""
        if rows:
            self._enter_change()
            number = {"from_change": self.change.number}
            columns = contract().tables[name].columns
            self.con.execute(
                insert(current(name)), [{c: row.get(c) for c in columns} | number for row in rows]
            )

    def replace(self, name: str, rows: Sequence[Mapping[str, str | None]]) -> None:
        """Put rows in the place of those of the same keys, which stay in history."""
        if rows:
            key = contract().tables[name].key
            self._end(name, [str(row[key]) for row in rows])
            table = current(name)
            columns = [c for c in contract().tables[name].columns if c != key]
            statement = (
                update(table)
                .where(table.c[key] == bindparam("the_key"))
                .values({c: bindparam(f"new_{c}") for c in columns})
                .values(from_change=self.change.number)
            )
            self.con.execute(
                statement,
                [
                    {"the_key": row[key], **{f"new_{c}": row.get(c) for c in columns}}
                    for row in rows
                ],
            )

    def withdraw(self, name: str, keys: Sequence[str]) -> None:
        """End current rows; they stay in history."""
        if keys:
            self._end(name, keys)
            key = contract().tables[name].key
            table = current(name)
            for some in _batches(keys):
                self.con.execute(delete(table).where(table.c[key].in_(some)))

    def _end(self, name: str, keys: Sequence[str]) -> None:
        self._enter_change()
        table, ended = current(name), history(name)
        columns = [*contract().tables[name].columns, "from_change"]
        for some in _batches(keys):
            rows = select(*(table.c[c] for c in columns), literal(self.change.number)).where(
                table.c[contract().tables[name].key].in_(some)
            )
            self.con.execute(insert(ended).from_select([*columns, "to_change"], rows))


def rows_of(con: Connection, name: str, as_of: int | None = None) -> list[Row]:
    """The rows of a table as they are, or were after a change; by key."""
    table = contract().tables[name]
    now = current(name)
    columns = [now.c[c] for c in table.columns]
    if as_of is None:
        found = con.execute(select(*columns).order_by(now.c[table.key]))
    else:
        before = history(name)
        stood = union_all(
            select(*columns).where(now.c.from_change <= as_of),
            select(*(before.c[c] for c in table.columns)).where(
                before.c.from_change <= as_of, before.c.to_change > as_of
            ),
        )
        found = con.execute(stood)
    rows = [dict(row) for row in found.mappings()]
    # Databases sort text in their own ways.
    return sorted(rows, key=lambda row: row[table.key])


def text_tables(rows: Mapping[str, Sequence[Row]], name: str) -> dict[str, TextTable]:
    """Rows as frames of text, all tables of the contract."""
    tables = {}
    for table in contract().tables.values():
        listed = rows.get(table.name, ())
        cells = [[row.get(column) for column in table.columns] for row in listed]
        index = pd.RangeIndex(1, len(cells) + 1)
        frame = pd.DataFrame(cells, columns=list(table.columns), index=index, dtype="str")
        tables[table.name] = TextTable(table, name, frame.astype("str"))
    return tables


def _batches(keys: Sequence[str]) -> Iterator[Sequence[str]]:
    # Databases limit how many values a statement may name.
    for start in range(0, len(keys), 500):
        yield keys[start : start + 500]


def _now() -> datetime.datetime:
    return datetime.datetime.now(datetime.UTC).replace(tzinfo=None)


def _next_change(con: Connection, who: str, why: str) -> Change:
    table = metadata().tables["change"]
    last = con.execute(
        select(table.c.number, table.c.at).order_by(table.c.number.desc()).limit(1)
    ).first()
    at = _later_than(last.at if last else None)
    return Change((last.number if last else 0) + 1, at, person_name(who), reason(why))


def _later_than(last: str | None) -> str:
    # Clocks go back; the order of changes does not.
    now = _now()
    if last is not None:
        before = datetime.datetime.fromisoformat(last.removesuffix("Z"))
        now = max(now, before + datetime.timedelta(microseconds=1))
    return now.isoformat(timespec="microseconds") + "Z"
