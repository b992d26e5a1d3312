"""The release id: a hash of the content of a reference, whatever its file format."""

from __future__ import annotations

import csv
import hashlib
import io

import pandas as pd

from towdb.contract.model import Table
from towdb.reference.folder import TextTable


def release_id(tables: dict[str, TextTable]) -> str:
    """The content address of a reference.

    sha256 over, for each table by name: its name, its non-empty columns in contract order, and
    its rows as canonical CSV sorted by key (LF, empty = null, decimals without trailing zeros).
    Row order, file format and columns that are empty throughout make no difference.

    Parameters
    ----------
    tables : dict
        The tables as text.

    Returns
    -------
    str
        64 hexadecimal digits.
    """
    digest = hashlib.sha256()
    for name in sorted(tables):
        text = tables[name]
        if len(text.frame):
            digest.update(_canonical(text.table, text.frame).encode("utf-8"))
    return digest.hexdigest()


def _canonical(table: Table, frame: pd.DataFrame) -> str:
    columns = [column for column in table.columns if frame[column].notna().any()]
    frame = frame[columns].sort_values(table.key)
    for column in columns:
        if table.field(column).type == "number":
            plain = {text: _plain(text) for text in frame[column].dropna().unique()}
            frame[column] = frame[column].map(plain, na_action="ignore")
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n", quoting=csv.QUOTE_MINIMAL)
    writer.writerow([table.name])
    writer.writerow(columns)
    writer.writerows(frame.astype(object).where(frame.notna(), "").itertuples(index=False))
    return out.getvalue()


def _plain(number: str) -> str:
    plain = number.rstrip("0").rstrip(".") if "." in number else number
    # As a release keeps it, whose rows give the same id.
    return "0" if plain == "-0" else plain
