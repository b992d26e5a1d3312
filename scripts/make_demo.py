"""Write data/demo: what a shop would have entered from the invented documents in demo_manuals.

The documents themselves go to data/demo/manuals, as demo_pages prints them.
`python3 scripts/make_demo.py` writes it; with `--check` it only says whether what is there is
what would be written. The same bytes come out on every machine.
"""

from __future__ import annotations

import argparse
import csv
import hashlib
import io
import random
import sys
import tomllib
from collections.abc import Iterable
from datetime import date, timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from scripts.demo_manuals import (
    DOCUMENTS,
    SELF_CHECKED,
    UNCHECKED,
    WITHOUT_FILE,
    buyer,
    dealer,
    sequence,
)
from scripts.demo_manuals.notation import Cells, Document, entries, fuse, pairs
from scripts.demo_pages import file_pages, printed

ROOT = Path(__file__).resolve().parents[1]
Tables = dict[str, dict[str, Cells]]

# How many days after the first these were typed, at most: a long manual takes three days.
_DAYS = {"procedure_step": 1, "vehicle_property": 2, "equipment_property": 1}
# Where the printed steps of a phase are counted.
_COUNTED = {
    "once": "steps_before",
    "before": "steps_before",
    "en_route": "steps_en_route",
    "after": "steps_after",
}


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--check", action="store_true", help="write nothing; exit 1 on a difference"
    )
    check = parser.parse_args().check
    stale = {path: data for path, data in files().items() if not _is(path, data)}
    for path, data in stale.items():
        if check:
            print(f"{path.relative_to(ROOT)} is not what make_demo.py writes", file=sys.stderr)
        else:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
    return int(check and bool(stale))


def files() -> dict[Path, bytes]:
    """Every file of the demo, with its bytes."""
    demo = ROOT / "data" / "demo"
    columns = table_columns()
    written = {
        demo / "reference" / f"{table}.csv": _csv(
            columns[table], [rows[key] for key in sorted(rows)]
        )
        for table, rows in reference(columns).items()
    }
    written[demo / "coach.toml"] = buyer.COACH
    written[demo / "stock.csv"], written[demo / "dealer.toml"] = dealer.STOCK, dealer.MAPPING
    written[demo / "shortlist.csv"] = _csv(buyer.COLUMNS, buyer.CARS)
    manuals = {demo / "manuals" / f"{source}.pdf": pdf for source, pdf in printed().items()}
    return {path: text.encode() for path, text in written.items()} | manuals


def table_columns() -> dict[str, list[str]]:
    """The columns of each table, in the contract's order."""
    contract = tomllib.loads((ROOT / "schema" / "tables.toml").read_text("utf-8"))
    shared = contract["columns"]
    return {
        name: table["columns"]
        + (shared["citation"] if table.get("cited", True) else [])
        + shared["entry"]
        for name, table in contract["table"].items()
    }


def reference(columns: dict[str, list[str]]) -> Tables:
    """Every row of the reference, by table and key."""
    tables: Tables = {name: {} for name in columns}
    for document in DOCUMENTS:
        Clerk(document, tables).enter()
    _enter_sequences(tables)
    for name, rows in tables.items():
        for key, row in rows.items():
            row[columns[name][0]] = key
            if unknown := row.keys() - set(columns[name]):
                raise ValueError(f"{name} {key}: no column {sorted(unknown)}")
    return tables


def _is(path: Path, data: bytes) -> bool:
    return path.is_file() and path.read_bytes() == data


def _csv(columns: list[str], rows: Iterable[Cells]) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def _workday(day: date) -> date:
    return day + timedelta(days=max(0, 7 - day.weekday()) if day.weekday() > 4 else 0)


def _enter_sequences(tables: Tables) -> None:
    by, on = sequence.ENTERED
    checked_on = _workday(date.fromisoformat(on) + timedelta(days=9)).isoformat()
    for name, steps in sequence.SEQUENCES.items():
        for number, step in enumerate(steps, 1):
            tables["general_step"][f"{name}-{number:02}"] = {
                "sequence": name,
                "step_no": str(number),
                "entered_by": by,
                "entered_on": on,
                "checked_by": sequence.CHECKED,
                "checked_on": checked_on,
                **step,
            }


class Clerk:
    """Enters one document: each line of its pages becomes a row that cites it."""

    def __init__(self, document: Document, tables: Tables) -> None:
        self.document = document
        self.tables = tables
        self.locator = ""
        self.owner = ("", "")
        self.statement = ""
        self.rule = ""
        self.printed: set[tuple[str, str, str]] = set()
        self._date()

    def _date(self) -> None:
        # Seeded by the document, so that a new one leaves the days of the others alone.
        chance = random.Random(f"towdb demo {self.document.source_id}")
        first = date.fromisoformat(self.document.entered[1])
        self.entered_on = {
            table: _workday(first + timedelta(days=chance.randint(0, _DAYS.get(table, 0))))
            for table in self.tables
        }
        self.entered_on["fuse_pull"] = self.entered_on["procedure_step"]
        last = max(self.entered_on.values())
        self.checked_on = _workday(last + timedelta(days=chance.randint(3, 24)))

    def enter(self) -> None:
        """Enter the document itself, then its pages from top to bottom."""
        self._source()
        by_shape = {
            "page": self._page,
            "group": self._group,
            "statement": self._statement,
            "limit": self._limit,
            "step": self._step,
            "properties": self._properties,
            "property": self._property,
            "coach": lambda cells: self._named("coach", cells),
            "equipment": lambda cells: self._named("equipment", cells),
            "fit": lambda cells: self._named("equipment_fit", cells),
            "rule": self._rule,
            "term": self._term,
        }
        for shape, cells in entries(self.document.pages):
            by_shape[shape](cells)

    def _add(self, table: str, key: str, cells: Cells) -> str:
        if key in self.tables[table]:
            raise ValueError(f"{table} {key} is entered twice")
        entered_by = self.document.entered[0]
        row = {**cells, "entered_by": entered_by, "entered_on": str(self.entered_on[table])}
        if (table, key) not in UNCHECKED:
            own = (table, key) in SELF_CHECKED
            row["checked_by"] = entered_by if own else self.document.checked
            row["checked_on"] = str(self.checked_on)
        self.tables[table][key] = row
        return key

    def _cite(self, table: str, key: str, quote: str, cells: Cells) -> str:
        citation = {
            "source_id": self.document.source_id,
            "locator": self.locator,
            "quote": quote,
            "basis": self.document.basis,
        }
        # The page of the PDF, where it is another than the number printed on it.
        page = file_pages(self.document).get(self.locator)
        if page is not None and self.locator != f"p. {page}":
            citation["file_page"] = str(page)
        return self._add(table, key, {**cells, **citation})

    def _id(self, table: str, name: str) -> str:
        own = f"{self.document.prefix}-{name}"
        return own if own in self.tables[table] else name

    def _free_key(self, table: str, wanted: str) -> str:
        wanted = wanted.replace("_", "-").lower()
        taken = self.tables[table]
        if wanted not in taken:
            return wanted
        return next(f"{wanted}-{n}" for n in range(2, 100) if f"{wanted}-{n}" not in taken)

    def _source(self) -> None:
        document = self.document
        first, last = map(str, document.years or ("", ""))
        cells = {
            "kind": document.kind,
            "title": document.title,
            "issuer": document.issuer,
            "issuer_role": document.issuer_role,
            "document_number": document.document_number,
            "edition": document.edition,
            "language": document.language,
            "market": document.market,
            "model_year_from": first,
            "model_year_to": last,
            "published_on": document.published_on,
            "obtained_on": document.obtained_on,
            "withdrawn_on": document.withdrawn_on,
            "invented": "yes",
        }
        if document.source_id not in WITHOUT_FILE:
            cells["file_name"] = document.file_name or f"{document.source_id}.pdf"
            # Labels, tickets and laws are not among the documents that are printed.
            invented = f"the invented file {cells['file_name']}".encode()
            content = printed().get(document.source_id, invented)
            cells["file_sha256"] = hashlib.sha256(content).hexdigest()
        self._add("source", document.source_id, cells)

    def _page(self, cells: Cells) -> None:
        self.locator = cells["locator"]

    def _group(self, cells: Cells) -> None:
        self.locator = cells["locator"]
        first, last = map(str, self.document.years or ("", ""))
        group = {
            "make": self.document.make,
            "model": self.document.model,
            "model_year_from": first,
            "model_year_to": last,
            "market": self.document.market,
            "otherwise": "any",
            **pairs(cells["cells"]),
        }
        key = f"{self.document.prefix}-{cells['name']}"
        self._cite("vehicle_group", key, cells["quote"], group)

    def _statement(self, cells: Cells) -> None:
        self.locator = cells["locator"]
        method, purpose, permission = cells["says"].split()
        overridden = filter(None, cells.get("overrides", "").split(", "))
        same = cells.get("same_steps_as", "")
        statement = {
            "vehicle_group_id": self._id("vehicle_group", cells["group"]),
            "towing_method": method,
            "purpose": purpose,
            "permission": permission,
            "section_heading": cells["heading"],
            "overrides": ", ".join(self._id("eligibility", name) for name in overridden),
            "same_steps_as": self._id("eligibility", same) if same else "",
        }
        if method == "four_wheels_down" and permission == "permitted":
            counted = ["limits"] if same else [*_COUNTED.values(), "fuse_pulls", "limits"]
            statement |= dict.fromkeys(counted, "0")
        key = f"{self.document.prefix}-{cells['name']}"
        self.statement = self._cite("eligibility", key, cells["quote"], statement)

    def _count(self, column: str) -> None:
        row = self.tables["eligibility"][self.statement]
        if row.get(column):
            row[column] = str(int(row[column]) + 1)

    def _limit(self, cells: Cells) -> None:
        quote = cells.pop("quote")
        key = self._free_key("towing_limit", f"{self.statement}-{cells['quantity']}")
        limit = {"eligibility_id": self.statement, "stated": "number", **cells}
        self._cite("towing_limit", key, quote, limit)
        self._count("limits")

    def _step(self, cells: Cells) -> None:
        quote, fuses, phase = cells.pop("quote"), cells.pop("fuse", ""), cells["phase"]
        stem = f"{self.statement}-{phase.replace('_', '-')}-"
        number = sum(key.startswith(stem) for key in self.tables["procedure_step"]) + 1
        warned = cells["printed_no"] == "-"
        step = {
            **cells,
            "eligibility_id": self.statement,
            "step_no": str(number),
            "printed_no": "" if warned else cells["printed_no"],
        }
        key = self._cite("procedure_step", f"{stem}{number}", quote, step)
        printed = (self.statement, _COUNTED[phase], cells["printed_no"])
        if not warned and printed not in self.printed:
            self.printed.add(printed)
            self._count(_COUNTED[phase])
        for said in fuses.splitlines():
            self._fuse(key, quote, fuse(said))

    def _fuse(self, step: str, quote: str, cells: Cells) -> None:
        key = self._free_key("fuse_pull", f"{step}-{cells['position']}")
        self._cite("fuse_pull", key, quote, {"procedure_step_id": step, **cells})
        self._count("fuse_pulls")

    def _properties(self, cells: Cells) -> None:
        self.locator = cells["locator"]
        table = cells["owner"] or "vehicle_group"
        self.owner = (table, self._id(table, cells["name"]))

    def _property(self, cells: Cells) -> None:
        quote, more = cells.pop("quote"), cells.pop("cells", "")
        owner_table, owner = self.owner
        table = owner_table.replace("vehicle_group", "vehicle") + "_property"
        key = self._free_key(table, f"{owner}-{cells['property']}")
        stated = {f"{owner_table}_id": owner, **cells, **(pairs(more) if more else {})}
        self._cite(table, key, quote, stated)

    def _named(self, table: str, cells: Cells) -> None:
        self.locator = cells["locator"]
        self._cite(table, cells["name"], cells["quote"], pairs(cells["cells"]))

    def _rule(self, cells: Cells) -> None:
        self.locator = cells["locator"]
        rule = {**pairs(cells["cells"]), "text": cells["text"]}
        self.rule = self._cite("towing_rule", cells["name"], cells["quote"], rule)

    def _term(self, cells: Cells) -> None:
        term = {"towing_rule_id": self.rule, **pairs(cells["cells"])}
        self._cite("towing_rule_term", f"{self.rule}-{cells['name']}", cells["quote"], term)


if __name__ == "__main__":
    sys.exit(main())
