"""Remarks on the make, model and VIN of a car; none of them changes what a car matches."""

from __future__ import annotations

import duckdb

from towdb.duck.bulk import insert
from towdb.errors import nearest
from towdb.intake.candidates import InventoryRows
from towdb.intake.one_file import reading_errors
from towdb.screening.engine import create, relation_sql

# Each is compared with every make on record, or with every model of its make: half a second if a
# make has a hundred models. All names of a large inventory would take minutes.
COMPARED_UP_TO = 500


def enter_begun_models(con: duckdb.DuckDBPyConnection) -> None:
    """Create ``begun_model``, if it does not exist: models that begin with one on record."""
    con.execute(
        f"CREATE TEMP TABLE IF NOT EXISTS begun_model AS {relation_sql('configure/begun_model')}"
    )


def note_unknown_names(con: duckdb.DuckDBPyConnection, loaded: InventoryRows) -> None:
    """Create ``candidate_make`` and ``unknown_name``: makes and models that are not on record.

    A model that begins with one on record has that one beside it. For the first `COMPARED_UP_TO` of
    all other names, in the order of the cars, the nearest name on record is found; the rest have
    kinds of their own, ``unknown_make_among_many`` and ``unknown_model_among_many``.
    """
    _enter_candidate_makes(con, loaded)
    enter_begun_models(con)
    create(con, "configure", ["unmatched_name"])
    makes: dict[str, list[str]] = {}
    for make, model in con.execute(
        "SELECT DISTINCT make, model FROM towdb_data.vehicle_group ORDER BY 1, 2"
    ).fetchall():
        makes.setdefault(make, []).append(model)
    names = con.execute(
        "SELECT known_make, to_compare FROM unmatched_name WHERE to_compare IS NOT NULL"
        f" GROUP BY ALL ORDER BY MIN(first_no) LIMIT {COMPARED_UP_TO:d}"
    ).fetchall()
    con.execute("CREATE TEMP TABLE compared_name (known_make VARCHAR, name VARCHAR, near VARCHAR)")
    compared = [
        (known, name, nearest(name, makes[known] if known else makes)) for known, name in names
    ]
    insert(con, "compared_name", ("VARCHAR",) * 3, compared)
    create(con, "configure", ["unknown_name"])


def _enter_candidate_makes(con: duckdb.DuckDBPyConnection, loaded: InventoryRows) -> None:
    con.execute(
        "CREATE TEMP TABLE candidate_make (candidate_no INTEGER, make VARCHAR, model VARCHAR)"
    )
    if {"make", "model"} <= set(loaded.columns):
        with reading_errors(loaded.name):
            con.execute(
                "INSERT INTO candidate_make SELECT t.candidate_no, m.make, m.model FROM"
                " inventory_rows AS t"
                " JOIN read_make_model AS m ON m.raw_make = t.make AND m.raw_model = t.model"
                " WHERE m.make_model_no = 0"
            )


def note_vins(con: duckdb.DuckDBPyConnection, loaded: InventoryRows) -> None:
    """Create ``vin_year``: cars whose VIN and row give different model years; over ``coded``."""
    if "vin" in loaded.columns:
        vins = (
            "SELECT t.candidate_no, t.vin AS value, upper(trim(t.vin)) AS vin, c.model_year,"
            " c.gvwr_kg FROM inventory_rows AS t JOIN coded AS c ON c.candidate_no = t.candidate_no"
            " WHERE trim(t.vin) <> ''"
        )
    else:
        vins = (
            "SELECT candidate_no, NULL::VARCHAR AS value, NULL::VARCHAR AS vin, model_year, gvwr_kg"
            " FROM coded LIMIT 0"
        )
    con.execute(f"CREATE TEMP VIEW vin_car AS {vins}")
    con.execute(f"CREATE TEMP VIEW vin_doubt AS {relation_sql('configure/vin_doubt')}")
    create(con, "configure", ["vin_year"])
