"""Records for tests of the store: in each tier on both databases."""

from __future__ import annotations

import pytest

from tests.helpers.shop import DATABASES, Place, place_of


@pytest.fixture(params=DATABASES)
def place(request: pytest.FixtureRequest) -> Place:
    return place_of(request)
