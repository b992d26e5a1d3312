"""Finds the contract (schema/), the shipped data and the guides, in a checkout or a wheel."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def schema_path() -> Path:
    """Folder of the contract's definition."""
    return _shipped("schema")


def demo_path() -> Path:
    """Folder of the invented demo data."""
    return _shipped("data") / "demo"


def guides() -> dict[str, str]:
    """The longer documents, as Markdown, by name; the first line of each is its title."""
    files = sorted((_PACKAGE / "guide").glob("*.md"))
    return {file.stem: file.read_text("utf-8") for file in files}


def _shipped(name: str) -> Path:
    # A wheel carries the top-level folders as towdb/_schema and towdb/_data (pyproject.toml).
    inside = _PACKAGE / f"_{name}"
    return inside if inside.is_dir() else _PACKAGE.parent / name
