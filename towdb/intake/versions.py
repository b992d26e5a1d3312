"""Without a shortlist: one candidate for every version of a car on record."""

from __future__ import annotations

import re
from pathlib import Path

import duckdb

from towdb.contract.model import contract
from towdb.duck.literals import literal
from towdb.duck.sql_files import sql_text
from towdb.errors import UsageError
from towdb.intake.candidates import ATTRIBUTES, InventoryRows

_SQL = Path(__file__).parent / "sql"
Years = tuple[int, int]
_CLOSED = tuple(
    name for name in ATTRIBUTES if contract().candidate.field(name).vocabulary is not None
)


def read_years(years: str | int | Years | None) -> Years | None:
    """Model years as two numbers, from a text such as ``2018-2021`` or ``2020``.

    Raises
    ------
    UsageError
        If it is neither, or the last year is before the first.
    """
    if years is None:
        return None
    if not isinstance(years, str):
        first, last = (years, years) if isinstance(years, int) else years
        years = f"{first:04}-{last:04}"
    match = re.fullmatch(r"([0-9]{4})(?:-([0-9]{4}))?", years.strip())
    if match is None or match[1] > (match[2] or match[1]):
        raise UsageError(f"years {years}: write them as 2018-2021, or one year as 2020")
    return int(match[1]), int(match[2] or match[1])


def candidates_on_record(con: duckdb.DuckDBPyConnection, years: Years | None) -> InventoryRows:
    """Create ``inventory_rows`` from the release.

    One car for each group with a recreational statement on four wheels down, model year, and
    combination of the leaves that the group's closed cells name; what they leave open stays empty.
    Its name is ``<vehicle_group_id>:<year>``, and after another colon the words that vary.
    """
    con.execute(f"CREATE TEMP TABLE version_leaf AS {sql_text(_SQL, 'version_leaf')}")
    stated = sql_text(_SQL, "stated_year")
    con.execute(f"CREATE TEMP TABLE stated_year AS {stated}", list(years or (0, 9999)))
    con.execute(_version_rows_sql())
    return InventoryRows("the reference", ["candidate", "make", "model", "model_year", *_CLOSED])


def _version_rows_sql() -> str:
    joins = " ".join(
        f"LEFT JOIN version_leaf AS {name} ON {name}.group_no = g.group_no"
        f" AND {name}.attribute = {literal(name)}"
        for name in _CLOSED
    )
    words = ", ".join(f"{name}.leaf AS {name}" for name in _CLOSED)
    varying = ", ".join(f"CASE WHEN {name}.leaves > 1 THEN {name}.leaf END" for name in _CLOSED)
    return f"""
        CREATE TEMP TABLE inventory_rows AS
        WITH version AS (
            SELECT g.vehicle_group_id, g.model_year, CONCAT_WS('+', {varying}) AS varying, {words}
            FROM stated_year AS g {joins}
        )
        SELECT CAST(ROW_NUMBER() OVER (ORDER BY v.vehicle_group_id, v.model_year, v.varying)
                    AS INTEGER) AS candidate_no,
               CONCAT_WS(':', v.vehicle_group_id, v.model_year, NULLIF(v.varying, ''))
                   AS candidate,
               g.make, g.model, v.* EXCLUDE (vehicle_group_id, varying)
                   REPLACE (CAST(v.model_year AS VARCHAR) AS model_year)
        FROM version AS v
        JOIN towdb_data.vehicle_group AS g ON g.vehicle_group_id = v.vehicle_group_id
        """
