"""Options that several commands share, and the values made from them."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from towdb.errors import UsageError

if TYPE_CHECKING:
    from towdb.duck.limits import Limits
    from towdb.intake.unreadable import RowsRead

FORMATS = ("table", "json", "csv")
# A query without end would keep a processor busy until somebody notices.
TIME_LIMIT_S = 60


class _File(click.Path):
    """A path; the code that reads or writes it reports whether that is possible."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        # An empty text, from a shell variable that was never set, would mean the current folder.
        if value == "":
            self.fail("an empty text is not a path; name a file.", param, ctx)
        return super().convert(value, param, ctx)


FILE = _File(path_type=Path, readable=False)
Command = TypeVar("Command", bound=Callable[..., Any])


def reference_option(command: Command) -> Command:
    """``--reference``, or the environment variable ``TOWDB_REFERENCE``."""
    option = click.option(
        "--reference",
        type=FILE,
        envvar="TOWDB_REFERENCE",
        help="The release (.duckdb) to use; else TOWDB_REFERENCE.",
    )
    return option(command)


def output_options(command: Command) -> Command:
    """``--format`` and ``-o``."""
    form = click.option("--format", help="table, json or csv; else from the file's name.")
    output = click.option("-o", "--output", type=FILE, help="File to write instead of the screen.")
    return form(output(command))


def inventory_options(command: Command) -> Command:
    """``--map``, ``--set-aside`` and ``--leave-unreadable``: how an inventory is read."""
    aside = click.option(
        "--set-aside",
        type=FILE,
        help="CSV or Parquet file for rows that cannot be read; else they are refused.",
    )
    leave = click.option(
        "--leave-unreadable",
        is_flag=True,
        help="Leave cells empty that cannot be read and that no verdict reads; they are counted.",
    )
    return map_option(aside(leave(command)))


def map_option(command: Command) -> Command:
    """``--map``: other people's headers and words."""
    option = click.option(
        "--map",
        "mapping",
        type=FILE,
        help="A mapping file (TOML): other people's headers and words.",
    )
    return option(command)


def check_outputs(
    inventory: Path | None, inputs: Iterable[Path | str | None], *outputs: Path | None
) -> None:
    """Check where answers go before cars are read, which may take long.

    Raises
    ------
    UsageError
        If one cannot be written, two are one file, or one is something that this call reads.
    """
    from towdb.files.replace import check_place
    from towdb.intake.files import refuse_inside

    read = [Path(each) for each in inputs if each is not None and os.path.exists(each)]
    places: list[Path] = []
    for output in filter(None, outputs):
        try:
            check_place(output)
            refuse_inside(output, inventory)
            if output.resolve() in places:
                raise UsageError(f"{output}: is named twice; each answer goes to its own file")
            places.append(output.resolve())
            if output.exists() and any(output.samefile(each) for each in read):
                raise UsageError(f"{output}: is read by this call; name another file")
        except OSError as error:
            raise UsageError(f"{output}: cannot be written ({error.strerror})") from None


def print_how_read(notes: Iterable[str], read: RowsRead | None) -> None:
    """How cars were read, beside the answer, whatever its format."""
    from towdb.presentation.how_read import rows_read_lines

    print_lines(rows_read_lines(notes, read), beside=True)


def limit_options(command: Command) -> Command:
    """``--time-limit`` and ``--memory-limit``: what a query may take, see `limits_of`."""
    time = click.option(
        "--time-limit",
        type=float,
        metavar="SECONDS",
        help=f"Seconds that the query may run; else {TIME_LIMIT_S}.",
    )
    memory = click.option(
        "--memory-limit", metavar="SIZE", help="Memory that the query may take, as 2GB."
    )
    return time(memory(command))


def limits_of(
    time_limit: float | None, memory_limit: str | None, *, has_query: bool = True
) -> Limits:
    """The limits of a query, with the one that the command line sets where none is given.

    Raises
    ------
    UsageError
        If one cannot be read, or there is no query.
    """
    from towdb.duck.limits import Limits

    if not has_query and (time_limit, memory_limit) != (None, None):
        raise UsageError("--time-limit and --memory-limit go with --sql")

    return Limits(TIME_LIMIT_S if time_limit is None else time_limit, memory_limit)


def on_option(command: Command) -> Command:
    """``--on``: the date for withdrawals and effective dates."""
    return click.option("--on", metavar="DATE", help="Date, as 2026-01-31; else today.")(command)


def required(reference: Path | None) -> Path:
    """The release, which must be named.

    Raises
    ------
    UsageError
        If it is not.
    """
    if reference is None:
        raise UsageError(
            "name a release with --reference FILE.duckdb or in TOWDB_REFERENCE;"
            " make one with: towdb build FOLDER -o FILE.duckdb"
        )
    return reference


def pairs(option: str, texts: Iterable[str], example: str) -> dict[str, str]:
    """What was given as NAME=TEXT, several times.

    Raises
    ------
    UsageError
        If one is written differently, or a name is repeated.
    """
    found: dict[str, str] = {}
    for text in texts:
        name, equals, value = text.partition("=")
        name = name.strip().lower()
        if not equals or not value or not name:
            raise UsageError(f"{option} {text}: write it as {example}")
        if name in found:
            raise UsageError(f"{option} {name}: named twice; keep one of them")
        found[name] = value
    return found


def print_lines(lines: Iterable[str], *, beside: bool = False) -> None:
    """Print what a command did, one line each whatever characters are in it.

    `beside` prints on standard error, beside an answer on standard output.
    """
    from towdb.report.text import printable

    for line in lines:
        click.echo(printable(line).replace("\n", "<U+000A>"), err=beside)
