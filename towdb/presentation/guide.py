"""The guides as a table."""

from __future__ import annotations

from collections.abc import Mapping

from towdb.report.answer import Answer, table_answer


def guides_answer(texts: Mapping[str, str]) -> Answer:
    """The guides by name, and what each is about."""
    listed = [(name, text.partition("\n")[0].lstrip("# ")) for name, text in texts.items()]
    return table_answer(("guide", "about"), listed, ["Print one with: towdb guide NAME"])
