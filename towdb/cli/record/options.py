"""Options that the commands on a record share, and the values that they give."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, TypeVar

import click

from towdb.errors import UsageError

if TYPE_CHECKING:
    from towdb.record.store.record import Record

Command = TypeVar("Command", bound=Callable[..., Any])


def record_option(command: Command) -> Command:
    """``--record``, or the environment variable ``TOWDB_RECORD``."""
    return click.option(
        "--record",
        "url",
        envvar="TOWDB_RECORD",
        metavar="FILE|URL",
        help="A SQLite file, or postgresql://USER@HOST/DATABASE; else TOWDB_RECORD.",
    )(command)


def as_option(command: Command) -> Command:
    """``--as``, or the environment variable ``TOWDB_USER``."""
    return click.option(
        "--as", "who", envvar="TOWDB_USER", metavar="NAME", help="Who you are; else TOWDB_USER."
    )(command)


def as_of_option(command: Command) -> Command:
    """``--as-of``: a change or a time."""
    return click.option(
        "--as-of", metavar="CHANGE|TIME", help="As it was after a change, or at a time (UTC)."
    )(command)


@contextmanager
def opened(url: str | None, *, create: bool = False) -> Iterator[Record]:
    """The record that was named.

    Raises
    ------
    UsageError
        If none was, or it cannot be opened.
    """
    if not url:
        raise UsageError("name a record with --record FILE.sqlite or in TOWDB_RECORD")
    try:
        from towdb.record.store.record import Record
    except ModuleNotFoundError as error:
        raise UsageError(f"a record needs {error.name}; install towdb again") from None
    with Record(url, create=create) as record:
        yield record


def person(who: str | None) -> str:
    """The person who was named.

    Raises
    ------
    UsageError
        If none was, or it is not a name.
    """
    from towdb.record.store.names_and_times import person_name

    return person_name(who)
