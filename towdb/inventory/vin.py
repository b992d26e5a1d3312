"""Checks of VINs, in SQL: all of them differ, and there may be millions.

Lower case counts as upper case. No verdict rests on a VIN.
"""

from __future__ import annotations

from towdb.intake.cells import Reading
from towdb.inventory.sql_files import sql
from towdb.screening.engine import relation_sql


def judge_vins(reading: Reading) -> str:
    """Create ``vin_doubt``; return the SELECT of what is wrong with VINs, empty without them.

    Years and gross ratings have been read.
    """
    if not reading.has("vin"):
        return ""
    year, gvwr, joins = "CAST(NULL AS INTEGER)", "CAST(NULL AS DECIMAL(18,10))", ""
    if reading.has("model_year"):
        year = "y.value"
        joins += " LEFT JOIN read_model_year AS y ON y.raw = t.model_year"
    if reading.has("gvwr"):
        gvwr = "g.kg"
        joins += (
            " LEFT JOIN read_gvwr AS g ON g.raw = t.gvwr"
            f" AND g.unit IS NOT DISTINCT FROM {reading.unit_of_row()}"
        )
    reading.con.execute(
        "CREATE TEMP VIEW vin_car AS SELECT t.candidate_no, t.vin AS value,"
        f" upper(trim(t.vin)) AS vin, {year} AS model_year, {gvwr} AS gvwr_kg"
        f" FROM inventory_rows AS t{joins} WHERE trim(t.vin) <> ''"
    )
    reading.con.execute(f"CREATE TEMP TABLE vin_doubt AS {relation_sql('configure/vin_doubt')}")
    return sql("vin_fault")
