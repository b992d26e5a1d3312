"""The SQL of this folder, one relation a file."""

from __future__ import annotations

from pathlib import Path

from towdb.duck.sql_files import sql_text


def sql(name: str) -> str:
    """The SELECT of one relation."""
    return sql_text(Path(__file__).parent / "sql", name)
