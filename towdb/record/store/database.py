"""The database of a record: its address, its engine, and its error messages."""

from __future__ import annotations

import logging
import re
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy import exc as sql_errors

from towdb.errors import UsageError

_BUSY_MS = 30_000
_SQLITE_START = b"SQLite format 3\x00"
_NO_ADDRESS = (
    "--record: not an address; write a path, or postgresql://USER@HOST/DATABASE (an @ in the"
    " password as %40)"
)


def read_url(text: str) -> URL:
    """The address of a record: a path, or that of a PostgreSQL database.

    Raises
    ------
    UsageError
        If it is neither.
    """
    if "://" not in text:
        if re.match(r"(postgres|postgresql|sqlite)[:/]", text):
            raise UsageError(_NO_ADDRESS)
        return URL.create("sqlite", database=text)
    try:
        url = make_url(text)
    except (sql_errors.ArgumentError, ValueError):
        raise UsageError(_NO_ADDRESS) from None
    if "@" in (url.host or "") or (
        url.drivername.startswith("sqlite") and (url.host or url.username or url.query)
    ):
        # What follows the first @ is part of the password.
        raise UsageError(_NO_ADDRESS)
    backend = url.drivername.split("+")[0]
    if backend == "sqlite":
        return url.set(drivername="sqlite")
    if backend in ("postgresql", "postgres"):
        return url.set(drivername="postgresql+psycopg")
    raise UsageError(
        f"--record: a record cannot be kept in {backend[:40]}; use SQLite or PostgreSQL"
    )


def require_file(path: Path, *, create: bool) -> None:
    """Refuse what cannot be, or become, a record in a file.

    Raises
    ------
    UsageError
        With the reason.
    """
    if str(path) == ":memory:":
        raise UsageError("--record: a record is kept in a file; name one")
    if path.is_dir():
        raise UsageError(f"{path}: is a folder; name a file")
    if not create and not path.is_file():
        raise UsageError(f"{path}: no such record; create one with: towdb record init")
    if create and not path.parent.is_dir():
        raise UsageError(f"{path}: the folder {path.parent} does not exist; create it first")
    if path.is_file():
        with path.open("rb") as stream:
            start = stream.read(16)
        if start and (start != _SQLITE_START or not _holds_a_record(path)):
            raise UsageError(
                f"{path}: is not a towdb record; it was not changed. Name another file"
            )


def name_of(url: URL) -> str:
    """A path, or an address without its password."""
    if url.get_backend_name() == "sqlite":
        return url.database or ""
    url = url.set(drivername="postgresql")
    secret = [name for name in url.query if "pass" in name.lower()]
    return url.difference_update_query(secret).render_as_string()


def _holds_a_record(path: Path) -> bool:
    try:
        with closing(sqlite3.connect(path)) as con:
            found = con.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
    except (sqlite3.Error, UnicodeDecodeError) as error:
        raise UsageError(f"{path}: cannot be read ({error})") from None
    return not found or ("record_info",) in found


def engine_of(url: URL) -> Engine:
    """An engine; on SQLite one that begins its transactions by hand.

    Raises
    ------
    UsageError
        If the driver is missing.
    """
    if url.get_backend_name() == "sqlite":
        engine = create_engine(url)
        event.listen(engine, "connect", _set_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
        return engine
    # It would log a lost connection to standard error, next to the error message.
    logging.getLogger("psycopg").addHandler(logging.NullHandler())
    try:
        # Whatever the server's setting: a seat that waited for the lock must see all changes.
        return create_engine(url, isolation_level="READ COMMITTED")
    except ModuleNotFoundError:
        raise UsageError(
            "a record in PostgreSQL needs psycopg; install it with: pip install 'towdb[postgres]'"
        ) from None


def _set_sqlite(connection: Any, _: object) -> None:
    # Transactions are begun by hand: the driver's own would begin too late.
    connection.isolation_level = None
    for pragma in ("foreign_keys = ON", f"busy_timeout = {_BUSY_MS}", "synchronous = FULL"):
        connection.execute(f"PRAGMA {pragma}")


def _begin_sqlite(con: Connection) -> None:
    con.exec_driver_sql("BEGIN IMMEDIATE" if con.info.get("writes") else "BEGIN")


def error_text(error: sql_errors.SQLAlchemyError) -> str:
    """The message of a database, in one line, without a password."""
    original = getattr(error, "orig", None)
    text = str(original if original is not None else error).strip().splitlines()
    # An address in a message may contain the password.
    return re.sub(r"://[^\s@]*@", "://…@", text[0][:200]) if text else type(error).__name__
