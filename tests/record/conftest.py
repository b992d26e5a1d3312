"""Records for tests, on SQLite and on PostgreSQL alike."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.helpers import postgres
from tests.helpers.shop import (
    Clock,
    Place,
    PostgresPlace,
    SqlitePlace,
    place_of,
    require_postgres,
)
from towdb.record.store import record as store
from towdb.record.store.record import Record


@pytest.fixture(scope="session")
def sqlite_place(tmp_path_factory: pytest.TempPathFactory) -> Place:
    return SqlitePlace(tmp_path_factory.mktemp("records"))


@pytest.fixture(scope="session")
def postgresql_place() -> Iterator[Place]:
    require_postgres()
    with postgres.server() as address:
        yield PostgresPlace(address)


# What is read and written by the store alone is the same on both, as the tests of the store show.
@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.whole)])
def place(request: pytest.FixtureRequest) -> Place:
    """Where records are made: the one database, then the other."""
    return place_of(request)


@pytest.fixture
def record_url(place: Place) -> Iterator[str]:
    """An address without a record yet."""
    with place.fresh() as url:
        yield url


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    """The record's clock, set by hand."""
    found = Clock()
    monkeypatch.setattr(store, "_now", found)
    return found


@pytest.fixture
def empty(record_url: str, clock: Clock) -> Iterator[Record]:
    """A record without rows."""
    with Record(record_url, create=True) as record:
        yield record


@pytest.fixture
def shop_url(place: Place, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A record with the base folder, all of it checked, since change 1."""
    with place.shop(tmp_path_factory.mktemp("shop"), is_checked=True) as url:
        yield url


@pytest.fixture
def shop(shop_url: str, clock: Clock) -> Iterator[Record]:
    """The same, opened; a day after change 1."""
    clock.forward(days=1)
    with Record(shop_url) as record:
        yield record


@pytest.fixture
def unchecked_url(place: Place, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A record with the base folder, nothing of it checked, since change 1."""
    with place.shop(tmp_path_factory.mktemp("shop"), is_checked=False) as url:
        yield url


@pytest.fixture
def unchecked(unchecked_url: str, clock: Clock) -> Iterator[Record]:
    """The same, opened; a day after change 1."""
    clock.forward(days=1)
    with Record(unchecked_url) as record:
        yield record
