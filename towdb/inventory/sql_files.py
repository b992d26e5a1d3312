"""The SQL of this folder, one relation a file."""

from __future__ import annotations

from functools import cache
from pathlib import Path

_SQL = Path(__file__).parent / "sql"


@cache
def sql(name: str) -> str:
    """The SELECT of one relation."""
    return (_SQL / f"{name}.sql").read_text("utf-8")
