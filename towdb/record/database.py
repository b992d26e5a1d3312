"""Where a record lies: an address, an engine, and what a database says when it refuses."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy import exc as sql_errors

from towdb.errors import UsageError

_BUSY_MS = 30_000
_SQLITE_START = b"SQLite format 3\x00"


def read_url(text: str) -> URL:
    """The address of a record: a path, or that of a PostgreSQL database.

    Raises
    ------
    UsageError
        If it is neither.
    """
    if "://" not in text:
        return URL.create("sqlite", database=text)
    try:
        url = make_url(text)
    except (sql_errors.ArgumentError, ValueError):
        raise UsageError(
            "--record: no address; write a path, or postgresql://USER@HOST/DATABASE"
        ) from None
    backend = url.drivername.split("+")[0]
    if backend == "sqlite":
        return url.set(drivername="sqlite")
    if backend in ("postgresql", "postgres"):
        return url.set(drivername="postgresql+psycopg")
    raise UsageError(f"--record: no record is kept in {backend[:40]}; use SQLite or PostgreSQL")


def require_file(path: Path, *, create: bool) -> None:
    """Refuse what cannot be, or become, a record in a file.

    Raises
    ------
    UsageError
        Saying why.
    """
    if path.is_dir():
        raise UsageError(f"{path}: is a folder; name a file")
    if not create:
        if not path.is_file():
            raise UsageError(f"{path}: there is no such record; begin one with: towdb record init")
        with path.open("rb") as stream:
            start = stream.read(16)
        if start and start != _SQLITE_START:
            raise UsageError(f"{path}: is no record of towdb")
    elif not path.parent.is_dir():
        raise UsageError(f"{path}: there is no folder {path.parent}; create it first")


def engine_of(url: URL) -> Engine:
    """An engine; on SQLite one that begins its transactions by hand.

    Raises
    ------
    UsageError
        If the driver is missing.
    """
    try:
        engine = create_engine(url)
    except ModuleNotFoundError:
        raise UsageError(
            "a record in PostgreSQL needs psycopg; install it with: pip install 'towdb[postgres]'"
        ) from None
    if url.get_backend_name() == "sqlite":
        event.listen(engine, "connect", _set_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
    return engine


def _set_sqlite(connection: Any, _: object) -> None:
    # Transactions are begun by hand: the driver's own would begin too late.
    connection.isolation_level = None
    for pragma in ("journal_mode = WAL", "foreign_keys = ON", f"busy_timeout = {_BUSY_MS}",
                   "synchronous = FULL"):  # fmt: skip
        connection.execute(f"PRAGMA {pragma}")


def _begin_sqlite(con: Connection) -> None:
    con.exec_driver_sql("BEGIN IMMEDIATE" if con.info.get("writes") else "BEGIN")


def said_of(error: sql_errors.SQLAlchemyError) -> str:
    """What a database said, in one line, without a password."""
    original = getattr(error, "orig", None)
    text = str(original if original is not None else error).strip().splitlines()
    # An address in a message may hold the password.
    return re.sub(r"://[^\s@]*@", "://…@", text[0][:200]) if text else type(error).__name__
