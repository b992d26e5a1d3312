"""One SELECT a file: its text, its columns, and the comment above it."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path

import duckdb


@cache
def sql_text(folder: Path, name: str) -> str:
    """The SELECT of a file ``name.sql`` in or below a folder."""
    return (folder / f"{name}.sql").read_text("utf-8")


def notes_of(sql: str) -> tuple[str, dict[str, str]]:
    """The meaning of a SELECT and of its columns, from the comment above it."""
    meaning: list[str] = []
    columns: dict[str, str] = {}
    for line in sql.splitlines():
        if not line.startswith("-- "):
            break
        match = re.fullmatch(r"-- ([a-z_]+(?:, [a-z_]+)*): (.+)", line)
        if match is None:
            meaning.append(line[3:])
        else:
            columns |= dict.fromkeys(match[1].split(", "), match[2])
    return " ".join(meaning), columns


def columns_of(sql: str) -> list[str]:
    """The columns that a SELECT gives, without running it."""
    con = _parser()
    con.execute("SELECT json_serialize_sql($1)", [sql])
    (text,) = con.fetchone() or ("{}",)
    node = json.loads(text)["statements"][0]["node"]
    while "select_list" not in node:  # a UNION is named by its first part
        node = node["children"][0] if "children" in node else node["left"]
    return [item["alias"] or item["column_names"][-1] for item in node["select_list"]]


@cache
def _parser() -> duckdb.DuckDBPyConnection:
    return duckdb.connect()
