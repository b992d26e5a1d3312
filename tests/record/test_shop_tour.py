"""The README's year in the shop runs, on either database."""

from __future__ import annotations

from pathlib import Path

from tests.test_documents import README, SHOP, run_sessions


def test_the_year_in_the_shop_runs_on_either_database(record_url: str, tmp_path: Path) -> None:
    (shop,) = SHOP.findall(README)
    variables = {"TOWDB_RECORD": record_url, "TOWDB_USER": "Imre Solvang"}
    assert run_sessions(shop, tmp_path, **variables) >= 12
