"""Values and texts of strangers as text that can be printed anywhere."""

from __future__ import annotations

from decimal import Decimal

from towdb.invisible import show_unseen


def plain(value: Decimal) -> str:
    """A decimal digit for digit, without trailing zeros."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def printable(text: str) -> str:
    """Text without what acts on a terminal or cannot be seen; its code point shows instead."""
    return show_unseen(text)
