"""What DuckDB says when something goes wrong, and what a person is told."""

from __future__ import annotations

from collections.abc import Callable
from typing import NoReturn

import duckdb
import pytest

from towdb.duck.connections import connect
from towdb.duck.faults import unreadable
from towdb.errors import UsageError


def struck(with_what: Callable[[], BaseException]) -> duckdb.Error:
    """How DuckDB tells of an exception that it met in Python while it read."""

    def strike(_: int) -> NoReturn:
        raise with_what()

    with connect() as con:
        con.create_function("strike", strike, ["INTEGER"], "INTEGER")
        with pytest.raises(duckdb.Error) as caught:
            con.execute("SELECT strike(1)")
    return caught.value


def test_ctrl_c_inside_duckdb_is_no_fault_of_what_was_read() -> None:
    with pytest.raises(KeyboardInterrupt):
        raise unreadable(struck(KeyboardInterrupt), "cars.csv:", "write it again")


def test_another_fault_met_in_python_is_one_of_what_was_read() -> None:
    error = unreadable(struck(lambda: ValueError("soon is no year")), "cars.csv:", "write it again")
    assert isinstance(error, UsageError)
    assert "cars.csv: cannot be read" in str(error)
