"""Commands and seats of a shop in processes of their own, which may be cut short anywhere.

The processes are forked from one that has imported everything, so that each costs little.
"""

from __future__ import annotations

import contextlib
import io
import multiprocessing
import os
import random
import signal
import sqlite3
import sys
import traceback
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any, Literal

import psycopg
import rich.default_styles
from sqlalchemy.dialects.postgresql.psycopg import PGDialect_psycopg
from sqlalchemy.dialects.sqlite.pysqlite import SQLiteDialect_pysqlite

from tests.helpers.shop import DUNYA, coach, raw, row_of
from towdb.cli import _status, app
from towdb.errors import UsageError
from towdb.record import answers, export, plan, review
from towdb.record import withdraw as withdrawing
from towdb.record.entry import import_rows
from towdb.record.evidence import documents
from towdb.record.store import record as store
from towdb.record.store.record import Record, rows_of
from towdb.record.store.tables import metadata
from towdb.record.workbook import read as workbook
from towdb.reference.check import CheckResult, FolderCheck
from towdb.reference.folder import Folder, TextTable

# What a command imports and renders when it runs: here, once.
IMPORTED = (answers, documents, workbook, rich.default_styles)
RENDERED = metadata()
FORKS = multiprocessing.get_context("forkserver")
FORKS.set_forkserver_preload(["tests.helpers.workers"])
CUT_SHORT = 77
Before = Callable[[], object]
_parent: Connection | None = None
_passed = 0


@dataclass(frozen=True)
class Said:
    """What a command came to, and how many statements it sent to the database."""

    status: int
    out: str = ""
    err: str = ""
    statements: int = 0


State = dict[str, list[tuple[Any, ...]]]


def state(url: str) -> State:
    """Every row of every table of a record, once nobody writes to it any more."""
    with Record(url) as record, record.changing(DUNYA, "looked") as changing:
        found = {
            name: sorted(
                map(tuple, changing.con.exec_driver_sql(f"SELECT * FROM {name}")), key=repr
            )
            for name in metadata().tables
        }
    if not url.startswith("postgresql"):
        assert raw(url, "PRAGMA integrity_check") == [("ok",)]
        assert raw(url, "PRAGMA foreign_key_check") == []
    return found


# ---------------------------------------------------------------- what is done before a command


def unjudged() -> None:
    """The rules find nothing: where hundreds of commands are run, their time is not spent on it."""

    @contextmanager
    def nothing(tables: dict[str, TextTable], name: str, *_: object) -> Iterator[FolderCheck]:
        con: Any = None
        yield FolderCheck(Folder(Path(name), tables), CheckResult(name, ()), con)

    def no_frames(*_: object) -> dict[str, TextTable]:
        return {}

    for module in (plan, withdrawing):
        setattr(module, "checked_tables", nothing)  # noqa: B010
        setattr(module, "text_tables", no_frames)  # noqa: B010


@dataclass(frozen=True)
class At:
    """The clock is stopped."""

    moment: datetime

    def __call__(self) -> None:
        store._now = lambda: self.moment


How = Literal["exit", "exit after", "error", "interrupt", "lost", "answer lost"]


@dataclass(frozen=True)
class Cut:
    """What happens at the n-th statement that is sent to the database, COMMIT being one.

    exit, exit after: the process ends before or after it. error: the database refuses it.
    interrupt: Ctrl-C. lost: PostgreSQL ends the connection. answer lost: it did what it was told,
    and nobody hears of it.
    """

    at: int = 0
    how: How = "exit"
    url: str = ""

    def __call__(self) -> None:
        for dialect in (SQLiteDialect_pysqlite, PGDialect_psycopg):
            for name in ("do_execute", "do_executemany", "do_execute_no_params", "do_commit"):
                setattr(dialect, name, self._counted(getattr(dialect, name), dialect))

    def _counted(self, send: Callable[..., Any], dialect: type) -> Callable[..., Any]:
        def counted(its: Any, sent_to: Any, *arguments: Any, **named: Any) -> Any:
            global _passed
            _passed += 1
            if _passed == self.at:
                self._strike(sent_to, dialect)
            done = send(its, sent_to, *arguments, **named)
            if _passed == self.at and self.how == "exit after":
                os._exit(CUT_SHORT)
            if _passed == self.at and self.how == "answer lost":
                raise psycopg.OperationalError("server closed the connection unexpectedly")
            return done

        return counted

    def _strike(self, sent_to: Any, dialect: type) -> None:
        if self.how == "exit":
            os._exit(CUT_SHORT)
        elif self.how == "interrupt":
            os.kill(os.getpid(), signal.SIGINT)
        elif self.how == "error" and dialect is SQLiteDialect_pysqlite:
            raise sqlite3.OperationalError("disk I/O error")
        elif self.how == "error":
            raise psycopg.OperationalError("could not extend file: No space left on device")
        elif self.how == "lost":
            con = getattr(sent_to, "connection", sent_to)
            con = getattr(con, "dbapi_connection", con)
            with psycopg.connect(self.url) as other:
                other.execute("SELECT pg_terminate_backend(%s, 5000)", [con.info.backend_pid])


@dataclass(frozen=True)
class EndAtFile:
    """The process ends before it opens (to write), makes, moves or removes the n-th file."""

    at: int

    def __call__(self) -> None:
        passed = 0

        def counted(event: str, arguments: tuple[Any, ...]) -> None:
            nonlocal passed
            writes = event == "open" and arguments[1] not in (None, "r", "rb")
            if writes or event in ("os.mkdir", "os.rename", "os.remove", "os.rmdir"):
                passed += 1
                if passed == self.at:
                    os._exit(CUT_SHORT)

        sys.addaudithook(counted)


def tell_of_writing() -> None:
    """The parent hears of the first statement that writes, and of the first file."""
    told = False

    def telling(act: Callable[..., Any], writes: Callable[[Sequence[Any]], bool]) -> Any:
        def acted(*arguments: Any, **named: Any) -> Any:
            nonlocal told
            if not told and writes(arguments):
                told = True
                tell("writing")
            return act(*arguments, **named)

        return acted

    for dialect in (SQLiteDialect_pysqlite, PGDialect_psycopg):
        for name in ("do_execute", "do_executemany"):
            act = telling(getattr(dialect, name), lambda given: given[2][:6] == "INSERT")
            setattr(dialect, name, act)
    export._put = telling(export._put, lambda _: True)


@dataclass(frozen=True)
class Pause:
    """Before the n-th statement the parent gets a message, and is waited for."""

    at: int

    def __call__(self) -> None:
        def strike(*_: object) -> None:
            tell("waiting")
            hear()

        cut = Cut(self.at)
        object.__setattr__(cut, "_strike", strike)
        cut()


def tell(message: object) -> None:
    """Send a message to the parent."""
    assert _parent is not None
    _parent.send(message)


def hear() -> object:
    """Wait for a message from the parent."""
    assert _parent is not None
    return _parent.recv()


# ---------------------------------------------------------------- commands


class Running:
    """A command in a process of its own."""

    def __init__(self, *words: object, before: Sequence[Before] = ()) -> None:
        self.line, theirs = FORKS.Pipe()
        self.process = FORKS.Process(
            target=_run, args=(theirs, tuple(map(str, words)), tuple(before))
        )
        self.process.start()
        theirs.close()

    def hear(self) -> object:
        """Its next message; how it ended, if there are no more."""
        try:
            return self.line.recv()
        except EOFError:
            self.process.join()
            return Said(self.process.exitcode or 0)

    def end(self) -> Said:
        """Its result; messages before that are skipped."""
        heard = self.hear()
        while not isinstance(heard, Said):
            heard = self.hear()
        self.process.join()
        self.line.close()
        return heard


def towdb(*words: object, before: Sequence[Before] = ()) -> Said:
    """Run a command to its end, or to where it is cut short."""
    return Running(*words, before=before).end()


def _run(parent: Connection, words: tuple[str, ...], before: Sequence[Before]) -> None:
    global _parent
    _parent = parent
    for name in ("TOWDB_RECORD", "TOWDB_USER", "TOWDB_REFERENCE"):
        os.environ.pop(name, None)
    for prepare in before:
        prepare()
    tell("begun")
    sys.argv = ["towdb", *words]
    with contextlib.redirect_stdout(io.StringIO()) as out:
        with contextlib.redirect_stderr(io.StringIO()) as err:
            try:
                status = _status(app)
            except BaseException:
                status = 99
                traceback.print_exc()
        tell(Said(status, out.getvalue(), err.getvalue(), _passed))


# ---------------------------------------------------------------- seats


@dataclass
class Day:
    """What somebody did at a seat: numbers of changes, and what was refused."""

    who: str
    added: list[tuple[str, int]] = field(default_factory=list)
    counted: list[int] = field(default_factory=list)
    checked: list[str] = field(default_factory=list)
    refused: list[tuple[str, str]] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)

    @property
    def operations(self) -> int:
        """How many things were done, or tried."""
        done = (self.added, self.counted, self.checked, self.refused)
        return sum(len(each) for each in done)


def day_of(url: str, who: str, seed: int, operations: int) -> Day:
    """One of several persons who add, change and check rows of one record at the same time."""
    unjudged()
    draw = random.Random(seed)
    day = Day(who)
    with Record(url) as record:
        for number in range(operations):
            act = draw.choices((_add, _count, _check), (4, 3, 3))[0]
            try:
                act(record, day, f"{who.split()[0].lower()}-{number}", draw)
            except UsageError as error:
                day.refused.append((act.__name__.strip("_"), str(error)))
    return day


def _add(record: Record, day: Day, key: str, _: random.Random) -> None:
    result = import_rows(record, [("coach", coach(key))], who=day.who, why=key)
    assert result.change is not None, result.findings
    day.added.append((key, result.change.number))


def _count(record: Record, day: Day, key: str, _: random.Random) -> None:
    """Raise two counters by one, if nobody has since they were read."""
    seen = record.last_change()
    with record.reading() as con:
        rows = {"coach": rows_of(con, "coach")}
    left, right = (row_of(rows, "coach", name)["note"] for name in ("left", "right"))
    if left != right:
        day.wrong.append(f"read {left} and {right}, which are only ever written together")
    # Two who raise it to the same number would otherwise write the same row.
    more = f"{int((left or '').split()[0]) + 1} by {day.who}"
    both = [("coach", coach(name, note=more)) for name in ("left", "right")]
    result = import_rows(record, both, who=day.who, why=key, change=True, seen=seen)
    if result.change is None:
        day.refused.append(("count", " ".join({f.message for f in result.findings})))
    else:
        day.counted.append(result.change.number)


def _check(record: Record, day: Day, _: str, draw: random.Random) -> None:
    """Check a row that awaits it, be it one's own."""
    waiting = [unit for unit in review.awaiting(record) if unit.table == "coach"]
    unit = draw.choice(waiting)
    for table, key in review.accept(record, unit, who=day.who):
        assert table == "coach"
        day.checked.append(key)


def together(work: Callable[..., Any], calls: Sequence[Sequence[object]]) -> list[Any]:
    """What each call gives, all at the same time, each in a process of its own."""
    started = []
    for call in calls:
        mine, theirs = FORKS.Pipe()
        process = FORKS.Process(target=_work, args=(theirs, work, tuple(call)))
        process.start()
        theirs.close()
        started.append((mine, process))
    for mine, _ in started:
        assert mine.recv() == "ready"
    for mine, _ in started:
        mine.send("go")
    found = [mine.recv() for mine, _ in started]
    for _, process in started:
        process.join()
    return found


def _work(parent: Connection, work: Callable[..., Any], call: Sequence[object]) -> None:
    parent.send("ready")
    parent.recv()
    try:
        parent.send(work(*call))
    except BaseException:
        parent.send(traceback.format_exc())
