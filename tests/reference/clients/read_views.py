"""Read a release with Python's DuckDB alone: queries come in and answers go out as JSON.

python read_views.py RELEASE
"""

from __future__ import annotations

import json
import sys
from datetime import date
from decimal import Decimal
from typing import Any

import duckdb


def plain(value: Any) -> Any:
    """A cell as JSON holds it without loss: decimals and dates as text."""
    match value:
        case Decimal():
            return f"{value:f}"
        case date():
            return value.isoformat()
    return value


def main() -> None:
    """Answer every query that stands in standard input."""
    answers = []
    with duckdb.connect(sys.argv[1], read_only=True) as con:
        for query in json.load(sys.stdin):
            con.execute(query)
            columns = con.description or ()
            answers.append(
                {
                    "names": [column[0] for column in columns],
                    "types": [str(column[1]) for column in columns],
                    "rows": [[plain(cell) for cell in row] for row in con.fetchall()],
                }
            )
    json.dump(answers, sys.stdout)


if __name__ == "__main__":
    main()
