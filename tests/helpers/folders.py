"""Small reference folders for tests: the clean base, and ways to change a copy of it."""

from __future__ import annotations

import csv
import os
import shutil
import subprocess
import sys
from pathlib import Path

import duckdb

from tests.conftest import ROOT
from towdb.contract.ddl import typed_columns
from towdb.contract.model import contract

BASE = ROOT / "tests" / "rules" / "base"
Row = dict[str, str]


def copy_base(target: Path) -> Path:
    """A copy of the clean base folder."""
    shutil.copytree(BASE, target)
    return target


def read_table(folder: Path, table: str) -> list[Row]:
    """The rows of a table as text."""
    with (folder / f"{table}.csv").open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def write_table(folder: Path, table: str, rows: list[Row]) -> None:
    """Write a table anew; its columns are those of the first row."""
    with (folder / f"{table}.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def set_cell(folder: Path, table: str, row: int, column: str, value: str) -> None:
    """Change one cell; rows count from 0."""
    rows = read_table(folder, table)
    rows[row][column] = value
    write_table(folder, table, rows)


def to_parquet(folder: Path, target: Path, *, typed: bool = False) -> Path:
    """The same reference as Parquet; `typed`: with decimals, dates and booleans as such."""
    target.mkdir()
    with duckdb.connect() as con:
        for file in sorted(folder.glob("*.csv")):
            read = f"read_csv('{file}', all_varchar = true, header = true)"
            con.execute(f"CREATE OR REPLACE TABLE text AS FROM {read}")
            con.execute("SELECT * FROM text LIMIT 0")
            there = [column[0] for column in con.description or ()]
            columns = typed_columns(contract().tables[file.stem], there) if typed else "*"
            con.execute(
                f"COPY (SELECT {columns} FROM text)"
                f" TO '{target / file.stem}.parquet' (FORMAT parquet)"
            )
    return target


def towdb(
    *arguments: object, cwd: Path = ROOT, **environment: str
) -> subprocess.CompletedProcess[str]:
    """Run the command line as a user would."""
    return subprocess.run(
        [sys.executable, "-m", "towdb", *map(str, arguments)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", **environment},
        check=False,
    )
