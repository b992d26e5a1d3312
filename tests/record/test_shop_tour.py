"""The shop's guide runs, on either database."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.test_documents import SHOP, SHOWN, run_sessions, tour_folder


@pytest.mark.whole
def test_the_shops_guide_runs_on_either_database(
    record_url: str, tmp_path: Path, demo_release: Path
) -> None:
    variables = {"TOWDB_RECORD": record_url, "TOWDB_USER": "Imre Solvang"}
    folder = tour_folder(tmp_path, demo_release)
    assert run_sessions(SHOP, folder, **variables) == SHOWN["towdb/guide/shop.md"]
