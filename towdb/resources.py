"""Finds the contract (schema/) and the shipped data, in a checkout or in an installed wheel."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def schema_path() -> Path:
    """Folder of the contract's definition."""
    return _shipped("schema")


def demo_path() -> Path:
    """Folder of the invented demo data."""
    return _shipped("data") / "demo"


def _shipped(name: str) -> Path:
    # A wheel carries the top-level folders as towdb/_schema and towdb/_data (pyproject.toml).
    inside = _PACKAGE / f"_{name}"
    return inside if inside.is_dir() else _PACKAGE.parent / name
