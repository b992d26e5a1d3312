"""What a reference folder says of a statement, found by reading its CSV: slow and obvious."""

from __future__ import annotations

from pathlib import Path
from unicodedata import normalize

from tests.helpers.folders import Row, read_table

ATTRIBUTES = (
    *("market", "trim", "body_style", "engine", "powertrain", "drivetrain", "transmission"),
    *("transfer_case", "steering", "parking_brake", "shifter", "ignition"),
)
FACTS = (
    *("source", "vehicle_group", "eligibility", "towing_limit", "procedure_step", "fuse_pull"),
    *("vehicle_property", "coach_property"),
)


def folded(text: str) -> str:
    """As names are compared."""
    return normalize("NFC", normalize("NFC", " ".join(text.split())).lower())


def years_of(group: Row) -> range:
    return range(int(group["model_year_from"]), int(group["model_year_to"]) + 1)


def is_of(group: Row, make: str, model: str | None) -> bool:
    return folded(group["make"]) == folded(make) and (
        model is None or folded(group["model"]) == folded(model)
    )


def is_flat(statement: Row) -> bool:
    """Whether it speaks of towing with four wheels down, behind another vehicle."""
    method, purpose = statement["towing_method"], statement["purpose"]
    return method == "four_wheels_down" and purpose in ("recreational", "any")


class Folder:
    """The rows of a folder, by table and key."""

    def __init__(self, path: Path) -> None:
        self.rows: dict[str, dict[str, Row]] = {}
        for table in FACTS:
            there = read_table(path, table) if (path / f"{table}.csv").exists() else []
            self.rows[table] = {row[f"{table}_id"]: row for row in there}
        self.groups = list(self.rows["vehicle_group"].values())
        self.statements = list(self.rows["eligibility"].values())

    def group_of(self, statement: Row) -> Row:
        return self.rows["vehicle_group"][statement["vehicle_group_id"]]

    def source_of(self, row: Row) -> Row:
        return self.rows["source"][row["source_id"]]

    def of(self, table: str, column: str, keys: set[str]) -> list[Row]:
        return [row for row in self.rows[table].values() if row[column] in keys]

    def limits_of(self, statement: Row) -> list[Row]:
        return self.of("towing_limit", "eligibility_id", {statement["eligibility_id"]})

    def steps_of(self, statement: Row) -> list[Row]:
        named = {statement["eligibility_id"], statement["same_steps_as"]}
        return self.of("procedure_step", "eligibility_id", named)

    def pulls_of(self, statement: Row) -> list[Row]:
        named = {row["procedure_step_id"] for row in self.steps_of(statement)}
        return self.of("fuse_pull", "procedure_step_id", named)

    def rests_on(self, statement: Row) -> dict[str, Row]:
        """Every row that a statement rests on, by table and key."""
        found = {f"eligibility {statement['eligibility_id']}": statement}
        found[f"vehicle_group {statement['vehicle_group_id']}"] = self.group_of(statement)
        for table, rows in (
            ("towing_limit", self.limits_of(statement)),
            ("procedure_step", self.steps_of(statement)),
            ("fuse_pull", self.pulls_of(statement)),
        ):
            found |= {f"{table} {row[f'{table}_id']}": row for row in rows}
        for row in list(found.values()):
            found[f"source {row['source_id']}"] = self.source_of(row)
        return found

    def behind(self, cited: str) -> set[str]:
        """A cited row, "table key", and those without which it would not count."""
        table, _, key = cited.partition(" ")
        row = self.rows.get(table, {}).get(key)
        if row is None or table == "eligibility":
            return {cited, *(self.rests_on(row) if row else ())}
        found = {cited, f"source {row['source_id']}"}
        if "vehicle_group_id" in row and table != "vehicle_group":
            found |= self.behind(f"vehicle_group {row['vehicle_group_id']}")
        return found

    def awaiting(self, statement: Row) -> list[str]:
        """What of it nobody has checked."""
        rows = self.rests_on(statement)
        return sorted(name for name, row in rows.items() if not row["checked_by"])

    def withdrawn_on(self, statement: Row, on: str) -> str | None:
        day = self.source_of(statement)["withdrawn_on"]
        return day if day and day <= on else None

    def replaced_by(self, statement: Row, on: str) -> list[str]:
        """Statements that override it and still hold; a withdrawal counts once it is checked."""
        found = []
        for other in self.statements:
            named = [key.strip() for key in other["overrides"].split(",")]
            gone = self.withdrawn_on(other, on) and self.source_of(other)["checked_by"]
            if statement["eligibility_id"] in named and not gone:
                mark = " (not checked yet)" if self.awaiting(other) else ""
                found.append(other["eligibility_id"] + mark)
        return sorted(found)

    def gaps(self, make: str, model: str | None, year: int | None) -> dict[str, set[int]]:
        """By model: years from the first to the last on record, or the one asked for, of which
        no page says anything on towing it flat.
        """
        known: dict[str, set[int]] = {}
        spoken: dict[str, set[int]] = {}
        for group in self.groups:
            if is_of(group, make, model):
                known.setdefault(folded(group["model"]), set()).update(years_of(group))
        for statement in self.statements:
            group = self.group_of(statement)
            if is_flat(statement) and is_of(group, make, model):
                spoken.setdefault(folded(group["model"]), set()).update(years_of(group))
        found = {}
        for name, years in known.items():
            asked = {year} if year else set(range(min(years), max(years) + 1))
            found[name] = asked - spoken.get(name, set())
        return {name: missing for name, missing in found.items() if missing}
