"""Results of several tables: by name, as frames and as records."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pandas as pd

Row = tuple[Any, ...]


class Tables:
    """A result with the columns and rows of several tables, by name."""

    tables: dict[str, tuple[list[str], list[Row]]]

    def records(self, name: str) -> list[dict[str, Any]]:
        """The rows of a table as dictionaries."""
        columns, rows = self.tables[name]
        return [dict(zip(columns, row, strict=True)) for row in rows]

    def all_records(self) -> dict[str, list[dict[str, Any]]]:
        """The rows of every table, as a document has them."""
        return {name: self.records(name) for name in self.tables}

    def frame(self, name: str) -> pd.DataFrame:
        """A table as a frame."""
        import pandas as pd

        columns, rows = self.tables[name]
        return pd.DataFrame(rows, columns=columns)
