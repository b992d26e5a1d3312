"""A screening as a file: verdicts as CSV or Parquet, a DuckDB file, or the JSON document."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

import duckdb

from towdb.duck.database_files import require_own
from towdb.duck.faults import unwritten
from towdb.duck.literals import literal
from towdb.duck.sql_files import columns_of
from towdb.errors import UsageError
from towdb.files.replace import replace
from towdb.report.as_csv import write_csv
from towdb.report.as_json import write_document
from towdb.report.destination import deliver
from towdb.screening import engine
from towdb.screening.carried_columns import verdicts_with
from towdb.screening.document import document
from towdb.screening.session import Session
from towdb.version import __version__
from towdb.wording.sentences import words_of_column

# Parquet of more candidates than this has no particular order: sorting millions of rows would cost
# more than screening them, and they carry their key.
SORTED_UP_TO = 100_000


def write(session: Session, path: Path) -> None:
    """Write a screening to a file, in the format of its name; the file is replaced in one step.

    Raises
    ------
    UsageError
        If the name ends in none of .json, .csv, .parquet, .duckdb, or the file cannot be written.
    """
    match path.suffix.lower():
        case ".parquet":
            replace(path, partial(_copy_verdicts, session))
        case ".duckdb":
            if path.exists():
                require_own(path, "main.screening", "screening")
            replace(path, partial(_copy_database, session))
        case ".csv":
            columns, found = session.rows("verdict")
            deliver(lambda out: write_csv(columns, found, out), path)
        case ".json":
            deliver(lambda out: write_document(document(session), out), path)
        case _:
            raise UsageError(f"{path}: a screening is written as .json, .csv, .parquet or .duckdb")


def _copy_verdicts(session: Session, path: Path) -> None:
    """Write the verdict table as Parquet, without a detour through Python."""
    verdicts = verdicts_with(session.carried, ordered=session.has_at_most(SORTED_UP_TO))
    # Words of a known set are written in half the time; readers of the file see text.
    words = ", ".join(
        f"CAST({name} AS ENUM ({', '.join(map(literal, known))})) AS {name}"
        for name in columns_of(engine.output_sql("verdict"))
        if (known := words_of_column(name))
    )
    query = f"SELECT * REPLACE ({words}) FROM ({verdicts})"
    with _written(session, path) as target:
        session.con.execute(f"COPY ({query}) TO {literal(str(target))} (FORMAT parquet)")


def _copy_database(session: Session, path: Path) -> None:
    """Write a DuckDB file: verdicts, their cars, the statements that count, and the release."""
    about = (session.release_id, __version__, session.on)
    with _written(session, path) as target:
        engine.keep(session.con, target, about, ordered=session.has_at_most(SORTED_UP_TO))


@contextmanager
def _written(session: Session, path: Path) -> Iterator[Path]:
    # A guarded connection writes to one folder only.
    target = Path(session.shelf.name) / path.name if session.shelf else path
    try:
        yield target
        if target != path:
            shutil.move(target, path)
    except duckdb.Error as error:
        raise unwritten(error, target) from None
