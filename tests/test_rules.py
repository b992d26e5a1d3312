"""Every rule of schema/rules finds exactly what it should, on data just inside and just outside.

`tests/rules/base` is one small reference without findings. A rule's `good` and `bad` folders hold
what they change of it: a row names its key and the cells that differ; with `like` it is a new row,
copied from the one named first; `like` = `delete` takes it out. `bad/expected.csv` lists the table,
key and column of every finding that the rule must make.
"""

from __future__ import annotations

import csv
from collections import Counter
from pathlib import Path

import duckdb
import pytest

import towdb
from tests.helpers.folders import BASE, Row, copy_base, read_table, write_table
from towdb.contract.model import contract
from towdb.reference.fields import field_findings
from towdb.reference.folder import TextTable, read_folder
from towdb.reference.rules import Rule, rule_findings, rules, stage

FIXTURES = BASE.parent
FILES = {f"{table}.csv" for table in contract().tables}
Cells = Counter[tuple[str, str, str]]


def _demand_fixtures_of_every_rule() -> None:
    # A rule that was never seen to find anything may be one that cannot.
    names = {rule.name for rule in rules()}
    there = {path.name for path in FIXTURES.iterdir()} - {BASE.name}
    faults = [f"no rule is called {name}: rename tests/rules/{name}" for name in there - names]
    for name in names:
        for kind, needed in (("good", set()), ("bad", {"expected.csv"})):
            held = {path.name for path in (FIXTURES / name / kind).glob("*")}
            if not held & FILES or held - FILES != needed:
                faults.append(
                    f"tests/rules/{name}/{kind} must hold {', '.join(['tables', *needed])}"
                    f" and nothing else; it holds {', '.join(sorted(held)) or 'nothing'}"
                )
    if faults:
        raise pytest.UsageError("\n".join(sorted(faults)))


_demand_fixtures_of_every_rule()


def overlaid(overlay: Path, target: Path) -> dict[str, TextTable]:
    """The base with an overlay on it, as read from files."""
    copy_base(target)
    for file in sorted(overlay.glob("*.csv")):
        if file.name in FILES:
            key = contract().tables[file.stem].key
            rows = {row[key]: row for row in read_table(target, file.stem)}
            for change in read_table(overlay, file.stem):
                _apply(rows, key, change)
            write_table(target, file.stem, list(rows.values()))
    folder = read_folder(target, lambda _: None)
    assert folder.findings == []
    return folder.tables


def _apply(rows: dict[str, Row], key: str, change: Row) -> None:
    like = change.pop("like", "")
    name = change[key]
    assert (name in rows) == (like in ("", "delete")), f"{name}: an existing key needs no like"
    if like == "delete":
        del rows[name]
    else:
        before = rows[like or name]
        assert change.keys() <= before.keys(), change.keys() - before.keys()
        assert {**before, **change} != before, f"{name}: nothing is changed"
        rows[name] = {**before, **change}


def found_by(rule: Rule, overlay: Path, target: Path) -> Cells:
    tables = overlaid(overlay, target)
    for file in overlay.glob("*.csv"):
        # A cell that is faulty in itself reaches the rules empty; only that is worth a fixture.
        if file.name in FILES:
            assert {fault.rule for fault in field_findings(tables[file.stem])} <= {"required"}
    with duckdb.connect(config={"python_enable_replacements": False}) as con:
        stage(con, tables)
        findings = list(rule_findings(con, tables, [rule]))
    for finding in findings:
        assert finding.line, finding
        assert finding.remedy, finding
        assert finding.column in contract().tables[str(finding.table)].columns
    return Counter((str(f.table), str(f.key), str(f.column)) for f in findings)


def expected(bad: Path) -> Cells:
    with (bad / "expected.csv").open(encoding="utf-8", newline="") as stream:
        return Counter(
            (row["table"], row["key"], row["column"]) for row in csv.DictReader(stream, strict=True)
        )


def test_the_base_has_no_findings() -> None:
    assert towdb.check(BASE).found == ()


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: rule.name)
def test_a_rule_states_its_truth(rule: Rule) -> None:
    assert rule.severity in ("error", "warning")
    assert rule.truth.endswith(".")
    assert not rule.wrong.endswith(".")
    # "where not (truth)" would let an unknown pass.
    assert "WHERE NOT (" not in rule.sql
    # The day of a check is named by who asks for it, and stands in judged_on.
    assert "current_date" not in rule.sql.lower()
    assert all(len(line) <= 100 for line in rule.sql.splitlines())


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: rule.name)
def test_a_rule_passes_what_is_just_right(rule: Rule, tmp_path: Path) -> None:
    assert found_by(rule, FIXTURES / rule.name / "good", tmp_path / "reference") == Counter()


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: rule.name)
def test_a_rule_finds_what_is_just_wrong(rule: Rule, tmp_path: Path) -> None:
    bad = FIXTURES / rule.name / "bad"
    assert found_by(rule, bad, tmp_path / "reference") == expected(bad)
    assert expected(bad)


def test_rules_are_silent_on_an_empty_reference() -> None:
    with duckdb.connect() as con:
        stage(con, {})
        assert list(rule_findings(con, {}, rules())) == []
