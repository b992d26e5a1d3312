"""Documents that rows cite: kept under their SHA-256, and looked up page by page."""

from __future__ import annotations

import hashlib
import os
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

from sqlalchemy import insert, select

from towdb.contract.model import contract
from towdb.errors import UsageError, did_you_mean
from towdb.record.evidence.confirm import Evidence, confirm
from towdb.record.evidence.pages import read_pages
from towdb.record.statement_parts import in_printed_order
from towdb.record.store.record import Record, Row, rows_of
from towdb.record.store.tables import ENTRY, metadata

# A scanned manual of some hundred pages has 50 MB.
MOST_BYTES = 200_000_000


class Attached(NamedTuple):
    """A document that was attached: its source, its SHA-256, and whether the row changed."""

    source_id: str
    sha256: str
    is_changed: bool


def attach(
    record: Record, path: str | os.PathLike[str], source_id: str | None = None, *, who: str
) -> Attached:
    """Attach a document to its source.

    Parameters
    ----------
    record : Record
        The record.
    path : path
        A PDF, a text or a picture.
    source_id : str, optional
        The source; by default the one that names a file of this SHA-256. A source without a file
        gets this one, and awaits a new check.
    who : str
        Who attaches it.

    Returns
    -------
    Attached

    Raises
    ------
    UsageError
        If it cannot be read, or is not the document that the source names.
    """
    file = Path(path)
    read_pages(file)
    if file.stat().st_size > MOST_BYTES:
        raise UsageError(f"{path}: has more than {MOST_BYTES // 1_000_000} MB; attach it in parts")
    content = file.read_bytes()
    found = hashlib.sha256(content).hexdigest()
    table = metadata().tables["document"]
    with record.changing(who, f"document {file.name}") as changing:
        # Looked up under the lock: what others write meanwhile is not overwritten.
        source = _source(rows_of(changing.con, "source"), file, found, source_id)
        source_id = str(source["source_id"])
        if source["file_sha256"] not in (None, found):
            raise UsageError(
                f"{path}: is not the file that {source_id} names"
                f" (SHA-256 {found[:12]}…, not {str(source['file_sha256'])[:12]}…);"
                " attach that file, or enter this one as a source of its own"
            )
        if changing.con.scalar(select(table.c.sha256).where(table.c.sha256 == found)) is None:
            row = {"sha256": found, "file_name": file.name, "content": content,
                   "at": changing.change.at, "who": changing.change.who}  # fmt: skip
            changing.con.execute(insert(table), [row])
        is_changed = source["file_sha256"] is None
        if is_changed:
            now = changing.change
            entry = dict(zip(ENTRY, (now.who, now.day, None, None), strict=True))
            named = {"file_sha256": found, "file_name": source["file_name"] or file.name}
            changing.replace("source", [source | named | entry])
    return Attached(source_id, found, is_changed)


def evidence(record: Record, as_of: int | None = None) -> list[Evidence]:
    """What the attached documents show about every row that cites a page."""
    rows = in_printed_order(record.rows(as_of))
    hashes = {str(row["source_id"]): row["file_sha256"] for row in rows["source"]}
    with _opened(record, {h for h in hashes.values() if h}) as files:
        documents = {source: files[h] for source, h in hashes.items() if h in files}
        return confirm(((name, row) for name in contract().tables for row in rows[name]), documents)


@contextmanager
def _opened(record: Record, hashes: set[str]) -> Iterator[dict[str | None, Path]]:
    table = metadata().tables["document"]
    with tempfile.TemporaryDirectory(prefix="towdb-") as folder:
        files: dict[str | None, Path] = {}
        with record.reading() as con:
            for name in con.scalars(select(table.c.sha256)).all():
                if name in hashes:
                    content = con.scalar(select(table.c.content).where(table.c.sha256 == name))
                    files[name] = Path(folder) / name
                    files[name].write_bytes(content or b"")
        yield files


def _source(rows: Sequence[Row], file: Path, sha256: str, source_id: str | None) -> Row:
    for row in rows:
        if source_id is None and row["file_sha256"] == sha256:
            return row
        if source_id is not None and row["source_id"] == source_id:
            return row
    if source_id is None:
        raise UsageError(
            f"{file}: no source names this file; name the source: attach FILE SOURCE_ID"
        )
    close = did_you_mean(source_id, [str(row["source_id"]) for row in rows])
    raise UsageError(f"source {source_id[:80]}: is not on record{close}")
