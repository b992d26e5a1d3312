"""Values and names as SQL text."""

from __future__ import annotations

from decimal import Decimal

Literal = str | Decimal | bool | None


def literal(text: Literal) -> str:
    """A value of the contract as an SQL literal."""
    if text is None:
        return "NULL"
    if isinstance(text, bool):
        return str(text).upper()
    return str(text) if isinstance(text, Decimal) else "'" + text.replace("'", "''") + "'"


def quoted(name: str) -> str:
    """A name as an SQL identifier."""
    return '"' + name.replace('"', '""') + '"'
