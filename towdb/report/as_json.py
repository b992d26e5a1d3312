"""Columns and rows, and documents, as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any, TextIO

from towdb.report.answer import Document
from towdb.report.text import plain


def write_json(columns: Sequence[str], rows: Iterable[Sequence[Any]], stream: TextIO) -> None:
    """An array of objects; decimals as numbers, digit for digit, dates as ISO text."""
    names = [json.dumps(name, ensure_ascii=False) for name in columns]
    separator = "[\n"
    for row in rows:
        cells = ", ".join(
            f"{name}: {json_text(cell)}" for name, cell in zip(names, row, strict=True)
        )
        stream.write(f"{separator}  {{{cells}}}")
        separator = ",\n"
    stream.write("[]\n" if separator == "[\n" else "\n]\n")


def write_document(value: Document, stream: TextIO) -> None:
    """A nested document as JSON, one key a line; what is an iterator in it, one item a line."""
    if isinstance(value, Mapping) and any(isinstance(each, Iterator) for each in value.values()):
        _write_streams(value, stream)
    else:
        stream.write(json.dumps(value, indent=2, ensure_ascii=False, default=_json_number) + "\n")


def _write_streams(value: Mapping[str, Any], stream: TextIO) -> None:
    before = "{\n"
    for key, each in value.items():
        stream.write(f"{before}  {json_text(key)}: ")
        if isinstance(each, Iterator):
            separator = "[\n"
            for item in each:
                stream.write(f"{separator}    {json_text(item)}")
                separator = ",\n"
            stream.write("[]" if separator == "[\n" else "\n  ]")
        else:
            stream.write(json_text(each))
        before = ",\n"
    stream.write("\n}\n")


def _json_number(value: Any) -> Any:
    if isinstance(value, Decimal):
        return int(value) if value == value.to_integral_value() else float(value)
    return str(value)


def json_text(value: Any) -> str:
    """One value as JSON."""
    match value:
        case Decimal() if value.is_finite():
            return plain(value)
        case float() if value != value or value in (float("inf"), float("-inf")):
            return "null"
        case None | bool() | int() | float() | str():
            return json.dumps(value, ensure_ascii=False)
        case Mapping():
            inner = (f"{json.dumps(str(k))}: {json_text(v)}" for k, v in value.items())
            return "{" + ", ".join(inner) + "}"
        case list() | tuple():
            return "[" + ", ".join(json_text(item) for item in value) + "]"
    return json.dumps(str(value), ensure_ascii=False)
