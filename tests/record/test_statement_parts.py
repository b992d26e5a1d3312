"""What is entered is counted alike by the rules of a reference and for rows that just came in."""

from __future__ import annotations

from pathlib import Path

import duckdb

from tests.helpers.folders import Row, copy_base, read_table, write_table
from towdb.record.statement_parts import entered_counts, parts_of
from towdb.reference.folder import read_folder
from towdb.reference.rules import stage

TABLES = ("eligibility", "procedure_step", "fuse_pull", "towing_limit")
# For copies of one step: cells that decide whether, and as what, it counts.
STEPS: list[Row] = [
    {"phase": "once", "printed_no": "1"},
    {"phase": "before", "printed_no": "1"},
    {"phase": "before", "printed_no": " 1A "},
    {"phase": "before", "printed_no": "1a"},
    {"phase": "before", "printed_no": ""},
    {"phase": "before", "printed_no": "9", "kind": "warning"},
    {"phase": "en_route", "printed_no": "1"},
    {"phase": "after", "printed_no": "2"},
    {"phase": "after", "printed_no": "3"},
]


def test_rules_and_the_record_count_alike(tmp_path: Path) -> None:
    folder = copy_base(tmp_path / "reference")
    steps = read_table(folder, "procedure_step")
    (like,) = (row for row in steps if row["procedure_step_id"] == "before-1")
    added = [
        {**like, "procedure_step_id": f"own-{n}", "eligibility_id": "automatic", "step_no": str(n)}
        | cells
        for n, cells in enumerate(STEPS, start=1)
    ]
    write_table(folder, "procedure_step", [*steps, *added])
    rows = {
        name: [{c: cell or None for c, cell in row.items()} for row in read_table(folder, name)]
        for name in TABLES
    }
    with duckdb.connect() as con:
        stage(con, read_folder(folder, lambda _: None).tables)
        by_rules = con.execute(
            "SELECT eligibility_id, column_name, entered FROM towdb_data.printed_count"
        ).fetchall()
    parts = parts_of(rows)
    counted = {str(row["eligibility_id"]): entered_counts(parts[str(row["eligibility_id"])])
               for row in rows["eligibility"]}  # fmt: skip
    assert counted["automatic"] == {
        "steps_before": 2, "steps_en_route": 1, "steps_after": 2, "fuse_pulls": 0, "limits": 0,
    }  # fmt: skip
    assert counted["key"]["fuse_pulls"]
    assert counted["key"]["limits"]
    found: dict[str, dict[str, int]] = {name: {} for name in counted}
    for statement, column, entered in by_rules:
        found[statement][column] = entered
    assert found == counted
