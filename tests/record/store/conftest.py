"""Records for tests of the store: in each tier on both databases."""

from __future__ import annotations

import pytest

from tests.helpers.shop import Place
from tests.record.conftest import place_of


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request: pytest.FixtureRequest) -> Place:
    return place_of(request)
