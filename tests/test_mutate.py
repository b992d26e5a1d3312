"""Mutants are made where something can be otherwise, and what they break is noticed.

``python3 scripts/mutate.py`` tries all of them, which takes most of an hour.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.helpers import agreement, mutants
from tests.helpers.mutants import Detector, Mutant, forked, noticed_by, sql_files, sql_mutants

pytestmark = pytest.mark.whole

WORLDS = 12
HEAD = "-- What a file says in its head stays.\n"


def changes(sql: str) -> set[str]:
    """What the mutants of a SELECT have in place of its lines, in one line each."""
    told = (
        " ".join(word for line in mutant.lines if line[0] == "+" for word in line[1:].split())
        for mutant in sql_mutants("told", HEAD + sql)
    )
    return {text.replace("( ", "(").replace(" )", ")") for text in told}


@pytest.mark.parametrize(
    ("sql", "otherwise"),
    [
        ("SELECT a < b AS x FROM t", {"a <= b AS x", "a >= b AS x"}),
        ("SELECT a = b AS x FROM t", {"a <> b AS x"}),
        ("SELECT a IS NULL AS x FROM t", {"NOT a IS NULL AS x"}),
        ("SELECT NOT a IS NULL AS x FROM t", {"a IS NULL AS x"}),
        (
            "SELECT a IS DISTINCT FROM b AS x FROM t",
            {"a <> b AS x", "a IS NOT DISTINCT FROM b AS x"},
        ),
        ("SELECT a AND b AND c AS x FROM t", {
            "(a AND b OR c) AS x", "(a OR b) AND c AS x",
            "a AND b AS x", "a AND c AS x", "b AND c AS x",
        }),
        ("SELECT a OR b AS x FROM t", {"(a AND b) AS x", "a AS x", "b AS x"}),
        ("SELECT MIN(a) AS x FROM t", {"MAX(a) AS x"}),
        ("SELECT a + b AS x FROM t", {"a - b AS x"}),
        ("SELECT 1 AS x, 'a' AS y, 'b' AS z FROM t", {
            "0 AS x,", "'b' AS y,", "'a_' AS z",
        }),
        ("SELECT COALESCE(a, b) AS x FROM t", {"a AS x"}),
        ("SELECT a IN (1, 2) AS x FROM t", {"a IN (1) AS x", "a IN (2) AS x", "a IN (0, 2) AS x",
                                            "a IN (1, 3) AS x"}),
        ("SELECT a BETWEEN b AND c AS x FROM t", {"a >= b AS x", "a <= c AS x"}),
        ("SELECT DISTINCT a FROM t", {"SELECT"}),
        ("SELECT a FROM t WHERE b", {""}),
        ("SELECT a FROM t LEFT JOIN u ON b", {"JOIN u", "ON TRUE"}),
        ("SELECT a FROM t UNION ALL SELECT b FROM u", {""}),
        ("SELECT lb_up(low_kg) AS x, high_kg FROM t", {
            "LB_DOWN(low_kg) AS x,", "LB_UP(high_kg) AS x,", "low_kg",
        }),
        ("SELECT CASE WHEN a THEN b ELSE c END AS x FROM t", {
            "b AS x", "c AS x", "CASE WHEN a THEN b END AS x",
        }),
        ("SELECT CASE a WHEN b THEN c WHEN d THEN e END AS x FROM t", {
            "CASE a WHEN b THEN c END AS x", "CASE a WHEN d THEN e END AS x",
        }),
        ("SELECT CAST(a AS DECIMAL(18, 10)) AS x FROM t", set()),
    ],
)  # fmt: skip
def test_a_select_with_one_thing_otherwise(sql: str, otherwise: set[str]) -> None:
    assert changes(sql) == otherwise


@pytest.mark.parametrize(
    "name",
    ["screening/weights/coach_capacity", "screening/configure/span_no", "reference/show/shown"],
)
def test_mutants_are_selects_and_no_two_alike(name: str) -> None:
    sql = sql_files()[name].read_text("utf-8")
    made = list(sql_mutants(name, sql))
    head = [line for line in sql.splitlines() if line.startswith("--")]
    assert len({mutant.sql for mutant in made}) == len(made) > 10
    for mutant in made:
        assert mutant.lines
        assert mutant.sql.splitlines()[: len(head)] == head


def noticed(detector: Detector, mutant: Mutant | None) -> int:
    number = forked(lambda: noticed_by(mutant, [detector.disagreements]), cpu_s=60)
    return os.waitstatus_to_exitcode(os.waitpid(number, 0)[1])


def test_a_planted_fault_is_noticed_and_none_is_where_there_is_none(tmp_path: Path) -> None:
    worlds = agreement.drawn(501, WORLDS)
    detector = Detector(worlds, tmp_path, mutants.verdicts_differ)
    assert noticed(detector, None) == 0
    name = "screening/statements/permission"
    planted = next(
        mutant
        for mutant in sql_mutants(name, sql_files()[name].read_text("utf-8"))
        if "'not_met'" in "".join(mutant.lines)
    )
    assert noticed(detector, planted) == 1
    assert (
        noticed(
            detector, Mutant("screening/weights/towed", "SELECT no_such_column FROM candidate", ())
        )
        == 1
    )
    # Nothing of it stays.
    assert noticed(detector, None) == 0
