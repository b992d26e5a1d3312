"""Synthetic, contract-valid data of a chosen size: a reference, and an inventory to screen."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

import duckdb

Row = dict[str, object]
_ENTRY = {
    "entered_by": "Imre Solvang",
    "entered_on": "2025-01-07",
    "checked_by": "Dunya Orrel",
    "checked_on": "2025-01-09",
}


def synthetic_reference(folder: Path, rows: int) -> int:
    """Write an invented, contract-valid reference of about so many rows; the exact number.

    Half of the rows are statements and limits.
    """
    groups = rows // 8
    tables: dict[str, Iterator[Row]] = {
        "source": _sources(),
        "vehicle_group": (_group(n) for n in range(groups)),
        "eligibility": (row for n in range(groups) for row in _statements(n)),
        "towing_limit": (row for n in range(groups) for row in _limits(n)),
        "procedure_step": (row for n in range(groups) for row in _steps(n)),
        "vehicle_property": (_gvwr(n) for n in range(groups)),
    }
    return sum(_write(folder / f"{name}.csv", found) for name, found in tables.items())


def _write(path: Path, rows: Iterator[Row]) -> int:
    with path.open("w", encoding="utf-8", newline="") as stream:
        first = next(rows)
        writer = csv.DictWriter(stream, first.keys(), lineterminator="\n")
        writer.writeheader()
        writer.writerow(first)
        rest = [writer.writerow(row) for row in rows]
    return 1 + len(rest)


def _sources() -> Iterator[Row]:
    for n in range(100):
        yield {
            "source_id": f"bench-{n}",
            "kind": "owner_manual",
            "title": f"Bench manual {n} (invented)",
            "issuer": "Bench Motor Works",
            "issuer_role": "vehicle_maker",
            "market": "any",
            "model_year_from": 1990,
            "model_year_to": 2030,
            "file_sha256": f"{n:064x}",
            "invented": "yes",
            **_ENTRY,
        }


def _cited(n: int, quote: str) -> Row:
    return {
        "source_id": f"bench-{n % 100}",
        "locator": f"p. {n % 400 + 1}",
        "quote": quote,
        "basis": "cited",
        **_ENTRY,
    }


def _group(n: int) -> Row:
    year = 1995 + n % 30
    return {
        "vehicle_group_id": f"g-{n}",
        "make": f"Bench {n // 3000}",
        "model": f"Model {n // 30}",
        "model_year_from": year,
        "model_year_to": year,
        "market": "any",
        "powertrain": "combustion",
        "drivetrain": "part_time_four_wheel_drive | all_wheel_drive",
        "transmission": "manual",
        "transfer_case": "two_speed_with_neutral",
        "otherwise": "any",
        **_cited(n, "Vehicles with manual transmission and two-speed transfer case"),
    }


def _statements(n: int) -> Iterator[Row]:
    for method, permission in (
        ("four_wheels_down", "permitted"),
        ("front_wheels_up", "prohibited"),
    ):
        flat = method == "four_wheels_down"
        yield {
            "eligibility_id": f"g-{n}-{method.replace('_', '-')}",
            "vehicle_group_id": f"g-{n}",
            "towing_method": method,
            "purpose": "recreational",
            "permission": permission,
            "steps_before": 1 if flat else "",
            "steps_en_route": 0 if flat else "",
            "steps_after": 1 if flat else "",
            "fuse_pulls": 0 if flat else "",
            "limits": 2 if flat else "",
            **_cited(n, "may be towed with all four wheels on the ground, and in no other way"),
        }


def _limits(n: int) -> Iterator[Row]:
    for quantity, scope, value, unit in (
        ("speed", "always", 65, "mph"),
        ("distance", "per_day", 500, "km"),
    ):
        yield {
            "towing_limit_id": f"g-{n}-{quantity}",
            "eligibility_id": f"g-{n}-four-wheels-down",
            "quantity": quantity,
            "bound": "at_most",
            "scope": scope,
            "stated": "number",
            "value": value,
            "unit": unit,
            **_cited(n, "no faster than 65 mph and no farther than 500 km a day"),
        }


def _steps(n: int) -> Iterator[Row]:
    for phase, action in (("before", "shift_to"), ("after", "select")):
        yield {
            "procedure_step_id": f"g-{n}-{phase}-1",
            "eligibility_id": f"g-{n}-four-wheels-down",
            "phase": phase,
            "step_no": 1,
            "printed_no": "1" if phase == "before" else "2",
            "kind": "do",
            "component": "transfer_case",
            "action": action,
            "target": "neutral" if phase == "before" else "two_high",
            **_cited(n, "Shift the transfer case"),
        }


def _gvwr(n: int) -> Row:
    return {
        "vehicle_property_id": f"g-{n}-gvwr",
        "vehicle_group_id": f"g-{n}",
        "property": "gvwr",
        "value": 3500 + n % 3000,
        "unit": "lb",
        **_cited(n, "GVWR"),
    }


def synthetic_inventory(path: Path, rows: int, groups: int) -> None:
    """Write an invented inventory as Parquet: cars of the synthetic groups and of none.

    About four configurations a group; one car in ten has a transmission that no group speaks of.
    """
    query = f"""
        SELECT 'stock-' || i AS candidate, 'Bench ' || (g // 3000) AS make,
               'MODEL ' || (g // 30) AS model, CAST(1995 + g % 30 AS VARCHAR) AS model_year,
               'XA' AS market, 'gas' AS powertrain, 'AWD' AS drivetrain,
               CASE WHEN h % 10 = 0 THEN 'CVT' ELSE 'Stick' END AS transmission,
               CASE WHEN (h // 10) % 2 = 0 THEN 'two-speed with neutral' END AS transfer_case,
               CAST(3000 + (h // 100) % 3000 AS VARCHAR) AS curb_weight, 'lb' AS weight_unit
        FROM (
            SELECT i, (i * 7919) % {groups} AS g, hash(i) % 1000000 AS h FROM range({rows}) AS r(i)
        ) AS drawn
    """
    with duckdb.connect() as con:
        con.execute(f"COPY ({query}) TO '{path}' (FORMAT parquet)")
