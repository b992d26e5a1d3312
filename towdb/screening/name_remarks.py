"""What is said beside a car of its make, model and VIN; none of it matches anything."""

from __future__ import annotations

import duckdb

from towdb.contract.grammar import fold
from towdb.errors import nearest
from towdb.intake.candidates import Typed
from towdb.screening.engine import create, relation_sql


def note_unknown_names(con: duckdb.DuckDBPyConnection) -> None:
    """Create ``unknown_name``: cars whose make or model is not on record, with the nearest.

    ``begun_model`` is there: a model that begins with one on record is told with that one.
    """
    con.execute(
        "CREATE TEMP TABLE unknown_name (make VARCHAR, model VARCHAR, kind VARCHAR, near VARCHAR)"
    )
    makes: dict[str, list[str]] = {}
    for make, model in con.execute(
        "SELECT DISTINCT make, model FROM towdb_data.vehicle_group ORDER BY 1, 2"
    ).fetchall():
        makes.setdefault(make, []).append(model)
    by_fold = {fold(make): make for make in makes}
    found = []
    for make, model, begun in con.execute(
        "SELECT DISTINCT m.make, m.model, b.on_record FROM read_make_model AS m LEFT JOIN"
        " begun_model AS b ON b.make = m.make AND b.model = m.model WHERE m.make_model_no = 0"
    ).fetchall():
        known = by_fold.get(fold(make))
        if begun is not None:
            found.append((make, model, "model_and_more", begun))
        elif known is None:
            found.append((make, model, "unknown_make", nearest(make, makes)))
        else:
            found.append((make, model, "unknown_model", nearest(model, makes[known])))
    if found:
        con.execute(
            "INSERT INTO unknown_name SELECT unnest($1::VARCHAR[]), unnest($2::VARCHAR[]),"
            " unnest($3::VARCHAR[]), unnest($4::VARCHAR[])",
            [list(column) for column in zip(*found, strict=True)],
        )


def note_vins(con: duckdb.DuckDBPyConnection, typed: Typed) -> None:
    """Create ``vin_year``: cars of which VIN and row say different model years; over ``coded``."""
    if "vin" in typed.columns:
        vins = (
            "SELECT t.candidate_no, t.vin AS value, upper(trim(t.vin)) AS vin, c.model_year,"
            " c.gvwr_kg FROM typed AS t JOIN coded AS c ON c.candidate_no = t.candidate_no"
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
