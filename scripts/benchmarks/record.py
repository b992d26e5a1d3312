"""The record: bringing rows in, looking back, contradictions, and reading documents."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any
from unittest.mock import patch

from reportlab.pdfgen.canvas import Canvas
from sqlalchemy.dialects import sqlite
from sqlalchemy.schema import CreateTable

from scripts.benchmarks.synthetic import synthetic_reference
from scripts.benchmarks.timing import Result, seconds
from scripts.environment import ROOT
from towdb.contract.model import contract
from towdb.record.conflicts import conflicts
from towdb.record.entry import import_path
from towdb.record.evidence.confirm import Evidence
from towdb.record.evidence.documents import attach, evidence
from towdb.record.store.record import Record, Row, Rows
from towdb.record.store.tables import current
from towdb.reference.folder import read_folder

WHO = "Imre Solvang"
VERSIONS = 10
PAGES = 400
KILLS = 200


def measure(rows: int = 100_000, groups: int = 50_000) -> list[Result]:
    """An import of about so many rows; contradictions of so many groups, and of half of them."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        return [
            *_measure_import(folder, rows),
            *_measure_past(folder, rows // 20),
            *_measure_conflicts(folder, groups),
            *_measure_evidence(folder, rows // 20),
            _kill(),
        ]


def _measure_import(folder: Path, rows: int) -> list[Result]:
    pages = folder / "pages"
    pages.mkdir()
    count = synthetic_reference(pages, rows)
    listed = _read(pages)
    bare = seconds(lambda: _executemany(folder / "bare.sqlite", listed), 2)

    def bring() -> None:
        with _fresh(folder / "import.sqlite") as record:
            result = import_path(record, pages, who=WHO)
            assert len(result.added) == count, result.findings[:3]

    brought = seconds(bring, 2)
    size = f"{count:,} rows"
    return [
        (f"bare `executemany`, {size}, one transaction", f"{bare:.2f} s", ""),
        (
            f"`record import`, {size}, SQLite",
            f"{brought:.1f} s = {brought / bare:.1f} × bare `executemany`",
            "4 ×",
        ),
    ]


def _measure_past(folder: Path, rows: int) -> list[Result]:
    with _fresh(folder / "past.sqlite") as record:
        for version in range(VERSIONS):
            listed = [_coach(n, f"version {version}") for n in range(rows)]
            with record.changing(WHO, f"version {version}") as changing:
                if version:
                    changing.replace("coach", listed)
                else:
                    changing.add("source", [_source()])
                    changing.add("coach", listed)
        now = seconds(record.rows, 3)
        past = seconds(lambda: record.rows(VERSIONS // 2), 3)
        told = record.rows(VERSIONS // 2)["coach"]
    assert {row["note"] for row in told} == {f"version {VERSIONS // 2 - 1}"}
    what = f"all {rows:,} rows, {VERSIONS} versions of each"
    return [
        (f"reading {what}, current", f"{now:.2f} s", ""),
        ("… as of a change", f"{past:.2f} s = {past / now:.1f} × the current ones", "2 ×"),
    ]


def _measure_conflicts(folder: Path, groups: int) -> list[Result]:
    taken = {size: _conflicts(folder, size) for size in (groups // 2, groups)}
    half, whole = taken.values()
    return [
        (f"`record conflicts`, {groups // 2:,} groups", f"{half:.1f} s", ""),
        (
            f"`record conflicts`, {groups:,} groups",
            f"{whole:.1f} s = {whole / half:.1f} × that",
            "linear",
        ),
    ]


def _conflicts(folder: Path, groups: int) -> float:
    pages = folder / f"{groups}"
    pages.mkdir()
    synthetic_reference(pages, groups * 8)
    with _fresh(folder / f"{groups}.sqlite") as record:
        listed = _read(pages)
        with record.changing(WHO, "filled") as changing:
            # In the order of the contract: a row that comes before the one it points at makes
            # SQLite look for it at each row that follows.
            for name in contract().tables:
                changing.add(name, listed.get(name, []))
        return seconds(lambda: conflicts(record), 1)


def _measure_evidence(folder: Path, rows: int) -> list[Result]:
    manual = folder / "manual.pdf"
    canvas = Canvas(str(manual))
    for page in range(PAGES):
        for line in range(40):
            canvas.drawString(72, 760 - 16 * line, f"Page {page + 1}, line {line + 1}: towing")
        canvas.showPage()
    canvas.save()
    with _fresh(folder / "evidence.sqlite") as record:
        with record.changing(WHO, "filled") as changing:
            changing.add("source", [_source()])
            changing.add("coach", [_coach(n, "cited") for n in range(rows)])
        attach(record, manual, "bench", who=WHO)
        bare = seconds(lambda: _extracted(manual))
        found: list[Evidence] = []
        with _extractions() as read:
            looked = seconds(lambda: found.extend(evidence(record)))
        assert all(each.status == "confirmed" for each in found)
    most = max(read.values())
    return [
        (f"bare pypdf, the text of {PAGES} pages", f"{bare:.1f} s", ""),
        (f"`record evidence`, {rows:,} rows that cite them",
         f"{looked:.1f} s = {looked / bare:.1f} × bare pypdf", ""),
        ("… a page is read at most", f"{most} time{'s'[: most > 1]}", "once"),
    ]  # fmt: skip


def _kill() -> Result:
    """Kill commands at random moments, on each database, as the tests do, only more often."""
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-q",
        "-n",
        "0",
        "tests/record/store/test_durability.py",
    ]
    subprocess.run(
        [*command, "-k", "killed_leaves"], cwd=ROOT, check=True, capture_output=True,
        env={**os.environ, "TOWDB_KILLS": f"{KILLS}"},
    )  # fmt: skip
    what = "SIGKILL in `record import`, `review` and `export`, on each database"
    return (what, f"{KILLS} times: the state before or after, never between", "never between")


# ---------------------------------------------------------------- the same by hand


def _executemany(path: Path, listed: Rows) -> None:
    path.unlink(missing_ok=True)
    with closing(sqlite3.connect(path)) as con, con:
        con.execute("PRAGMA journal_mode = WAL")
        con.execute("BEGIN")
        for name, rows in listed.items():
            table = current(name)
            con.execute(str(CreateTable(table).compile(dialect=sqlite.dialect())))
            columns = contract().tables[name].columns
            marks = ", ".join("?" * (len(columns) + 1))
            con.executemany(
                f"INSERT INTO {name} VALUES ({marks})",
                ([*(row[column] for column in columns), 1] for row in rows),
            )


def _extracted(path: Path) -> int:
    from pypdf import PdfReader

    return sum(len(page.extract_text()) for page in PdfReader(path).pages)


@contextmanager
def _extractions() -> Iterator[Counter[int]]:
    """How often the text of each page of a PDF was asked for."""
    from pypdf import PageObject

    read: Counter[int] = Counter()
    extract: Any = PageObject.extract_text

    def counted(page: PageObject, *given: Any, **named: Any) -> Any:
        read[page.page_number or 0] += 1
        return extract(page, *given, **named)

    with patch.object(PageObject, "extract_text", counted):
        yield read


# ---------------------------------------------------------------- records, and rows


@contextmanager
def _fresh(path: Path) -> Iterator[Record]:
    for end in ("", "-wal", "-shm"):
        Path(f"{path}{end}").unlink(missing_ok=True)
    with Record(str(path), create=True) as record:
        yield record


def _read(pages: Path) -> Rows:
    tables = read_folder(pages, lambda _: None).tables
    rows: Rows = {}
    for name, text in tables.items():
        cells: Any = text.frame.astype(object).where(text.frame.notna(), None)
        rows[name] = cells.to_dict("records")
    return rows


def _entry() -> Row:
    return {"entered_by": WHO, "entered_on": "2025-01-07", "checked_by": None, "checked_on": None}


def _source() -> Row:
    return {
        "source_id": "bench", "kind": "owner_manual", "title": "Bench manual (invented)",
        "issuer": "Bench Motor Works", "issuer_role": "vehicle_maker", "invented": "yes",
        **_entry(),
    }  # fmt: skip


def _coach(n: int, note: str) -> Row:
    page = n % PAGES + 1
    return {
        "coach_id": f"bench-{n:06}", "name": f"Bench {n}", "model_year": "2016", "note": note,
        "source_id": "bench", "locator": f"p. {page}", "quote": f"Page {page}, line {n % 40 + 1}",
        "basis": "cited", **_entry(),
    }  # fmt: skip
