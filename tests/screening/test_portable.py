"""The screening SQL stays in the subset that DuckDB and PostgreSQL read alike."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
import sqlglot
from sqlglot import exp
from sqlglot.errors import SqlglotError

from tests.conftest import ROOT
from towdb.screening.engine import EXPLANATIONS, RELATIONS

SQL = ROOT / "towdb" / "screening" / "sql"
FILES = [SQL / f"{name}.sql" for name in (*RELATIONS, *EXPLANATIONS, "explain/verdict_check")]
DIALECTS = ("duckdb", "postgres")
ALLOWED = {
    # One SELECT, its CTEs, and UNION ALL.
    exp.Select, exp.With, exp.CTE, exp.Union, exp.Subquery, exp.Distinct, exp.Star,
    exp.From, exp.Join, exp.Table, exp.TableAlias, exp.Where, exp.Group,
    # Names and values.
    exp.Alias, exp.Column, exp.Identifier, exp.Literal, exp.Null, exp.Boolean, exp.Neg,
    # Conditions in three values.
    exp.Case, exp.If, exp.And, exp.Or, exp.Not, exp.Paren, exp.Is, exp.In,
    exp.EQ, exp.NEQ, exp.LT, exp.LTE, exp.GT, exp.GTE, exp.NullSafeEQ, exp.NullSafeNEQ,
    # Exact sums, differences and shares.
    exp.Add, exp.Sub, exp.Mul, exp.Sum, exp.Min, exp.Max, exp.Coalesce, exp.Floor,
    exp.Cast, exp.DataType, exp.DataTypeParam,
    exp.Window, exp.RowNumber, exp.Order, exp.Ordered,
}  # fmt: skip


def faults(sql: str) -> list[str]:
    """What keeps a text from being read alike by both engines."""
    trees = {}
    for dialect in DIALECTS:
        try:
            statements = sqlglot.parse(sql, dialect=dialect)
        except SqlglotError as error:
            return [f"{dialect} cannot read it: {str(error).splitlines()[0]}"]
        if len(statements) != 1 or not isinstance(statements[0], (exp.Select, exp.Union)):
            return ["not one SELECT"]
        trees[dialect] = statements[0]
    found = list(_words(sql))
    # The parser fills in what a text that starts with FROM leaves out.
    selects = sum(token.token_type.name == "SELECT" for token in sqlglot.tokenize(sql))
    if selects != len(list(trees["duckdb"].find_all(exp.Select))):
        found.append("FROM without SELECT")
    for node in trees["duckdb"].walk():
        if type(node) not in ALLOWED:
            found.append(f"{type(node).__name__}: {node.sql('duckdb')[:60]}")
        elif wrong := _misuse(node):
            found.append(f"{wrong}: {node.sql('duckdb')[:60]}")
    texts = {dialect: _plain(tree) for dialect, tree in trees.items()}
    found += [f"{d} reads it otherwise" for d in DIALECTS[1:] if texts[d] != texts["duckdb"]]
    return found


def _words(sql: str) -> Iterator[str]:
    for token in sqlglot.tokenize(sql, dialect="duckdb"):
        if token.token_type.name == "DCOLON":
            yield ":: instead of CAST"
        # PostgreSQL takes "name" for a name; Spark takes it for a text.
        if token.token_type.name == "IDENTIFIER":
            yield f"quoted name {token.text}"


def _plain(tree: exp.Expr) -> str:
    # The parser writes Spark's CAST as one that may fail, and PostgreSQL's IS NOT NULL as one node.
    def same(node: exp.Expr) -> exp.Expr:
        if isinstance(node, exp.Is) and node.args.get("negate"):
            return exp.Not(this=exp.Is(this=node.this, expression=node.expression))
        return node

    return tree.transform(same).sql("duckdb", comments=False).replace("TRY_CAST(", "CAST(")


def _misuse(node: exp.Expr) -> str | None:
    match node:
        case exp.Cast():
            return _cast(node.to)
        case exp.If() if not isinstance(node.parent, exp.Case):
            return "IF instead of CASE"
        case exp.Sum() if not isinstance(node.this, exp.Case):
            return "SUM of something else than CASE"
        case exp.Union() if node.args.get("distinct"):
            return "UNION without ALL"
        case exp.Distinct() if node.args.get("on"):
            return "DISTINCT ON"
        case exp.Group() if node.args.get("all") or not _are_columns(node.expressions):
            return "GROUP BY without naming columns"
        case exp.With() if node.args.get("recursive"):
            return "a recursive CTE"
        case exp.In() if not node.expressions:
            return "IN without a list"
        case exp.Star() if any(node.args.values()):
            return "a star with exceptions"
    return _misuse_of_shape(node)


def _misuse_of_shape(node: exp.Expr) -> str | None:
    match node:
        case exp.Mul() if not _is_exact_share(node):
            return "a product of something else than CAST(... AS DECIMAL(28,10)) and a number"
        case exp.Select() if not node.expressions:
            return "SELECT of nothing"
        case exp.Window() if not (isinstance(node.this, exp.RowNumber) and node.args.get("order")):
            return "a window other than row_number() with an order"
        case exp.RowNumber() | exp.Order() if not isinstance(node.parent, exp.Window):
            return "an order outside a window"
        case exp.Join() if node.args.get("method") or node.args.get("using"):
            return "a join that names no condition"
        case exp.Join() if node.args.get("kind") not in (None, "", "CROSS", "INNER"):
            return "a join of a kind of its own"
    return None


def _is_exact_share(node: exp.Mul) -> bool:
    # DuckDB keeps a product of two decimals of up to 18 digits in 18, where it overflows.
    wide, share = node.this, node.expression
    is_wide = isinstance(wide, exp.Cast) and wide.to.sql("duckdb") == "DECIMAL(28, 10)"
    return is_wide and isinstance(share, exp.Literal) and share.is_number


def _are_columns(expressions: list[exp.Expr]) -> bool:
    return all(isinstance(one, exp.Column) and one.name.lower() != "all" for one in expressions)


def _cast(to: exp.DataType) -> str | None:
    # Spark has no VARCHAR without a length.
    lengths = {exp.DataType.Type.DECIMAL: 2, exp.DataType.Type.VARCHAR: 1}
    if to.this in lengths and len(to.expressions) == lengths[to.this]:
        return None
    return "a cast to something else than DECIMAL(p, s) or VARCHAR(n)"


def test_there_are_files_to_look_at() -> None:
    assert {"permission", "applies", "verdict_kg", "verdict_remark"} <= {
        file.stem for file in FILES
    }


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_file_keeps_to_the_portable_subset(file: Path) -> None:
    assert faults(file.read_text("utf-8")) == []


@pytest.mark.parametrize(
    "file",
    sorted(SQL.rglob("*.sql")),
    ids=lambda file: f"{file.parent.name}/{file.stem}",
)
def test_a_file_says_in_its_head_what_it_is(file: Path) -> None:
    first = file.read_text("utf-8").splitlines()[0]
    assert first.startswith("-- ")
    assert len(first.split()) >= 5, first


def test_the_whole_subset_is_accepted() -> None:
    assert (
        faults(
            """-- A comment.
            WITH a AS (
                SELECT t.k, MIN(t.x) AS least, MAX(t.x) AS most,
                       SUM(CASE WHEN t.x > 1 THEN 1 ELSE 0 END) AS n
                FROM t
                GROUP BY t.k
            )
            SELECT a.*, COALESCE(a.least, FLOOR(a.most), -1) AS c,
                   CAST(a.most AS DECIMAL(28,10)) * 0.9 AS share,
                   CAST(NULL AS DECIMAL(18,10)) AS d,
                   row_number() OVER (PARTITION BY a.k
                       ORDER BY a.n NULLS LAST, a.k NULLS LAST) AS place
            FROM a
            LEFT JOIN (SELECT DISTINCT k FROM u) AS v ON v.k = a.k
            CROSS JOIN call AS q
            WHERE a.k IS NOT DISTINCT FROM v.k AND (a.n <= 3 AND a.k IN (1, 2)) IS NOT TRUE
              AND a.least IS NOT NULL AND a.most + 1 - a.n <> 0 AND a.k IS DISTINCT FROM q.k
            UNION ALL
            SELECT * FROM w"""
        )
        == []
    )


@pytest.mark.parametrize(
    "sql",
    [
        "SELECT [a, b] FROM t",
        "SELECT {'x': a} FROM t",
        "SELECT list_filter(a, x -> x > 1) FROM t",
        "SELECT unnest(a) FROM t",
        "SELECT string_agg(a, ',') FROM t",
        "SELECT arg_min(a, b) FROM t",
        "SELECT COUNT(*) FROM t",
        "SELECT SUM(a) FROM t",
        "SELECT a, MAX(b) FROM t GROUP BY ALL",
        "SELECT a, MAX(b) FROM t GROUP BY 1",
        "SELECT a / b FROM t",
        "SELECT a * b FROM t",
        "SELECT a * 0.9 FROM t",
        "SELECT CAST(a AS DECIMAL(18,10)) * 0.9 FROM t",
        "SELECT CAST(a AS DECIMAL(28,10)) * b FROM t",
        "SELECT 0.9 * CAST(a AS DECIMAL(28,10)) FROM t",
        "SELECT a // b FROM t",
        "SELECT least(a, b) FROM t",
        "SELECT greatest(a, b) FROM t",
        "SELECT a || b FROM t",
        "SELECT IF(a, b, c) FROM t",
        "SELECT a FROM t QUALIFY row_number() OVER (ORDER BY a) = 1",
        "SELECT row_number() OVER () FROM t",
        # NULL comes first in Spark, and last in the others.
        "SELECT dense_rank() OVER (ORDER BY a) FROM t",
        "SELECT MAX(a) FILTER (WHERE b) FROM t",
        "SELECT a::INTEGER FROM t",
        "SELECT a::DECIMAL(18,10) FROM t",
        "SELECT CAST(a AS DOUBLE) FROM t",
        "SELECT CAST(a AS VARCHAR) FROM t",
        "SELECT TRY_CAST(a AS DECIMAL(18,10)) FROM t",
        'SELECT a AS "check" FROM t',
        "SELECT * EXCLUDE (a) FROM t",
        "SELECT DISTINCT ON (a) a, b FROM t",
        "SELECT a FROM t UNION SELECT a FROM u",
        "SELECT a FROM t EXCEPT SELECT a FROM u",
        "SELECT a FROM t ORDER BY a",
        "SELECT a FROM t LIMIT 1",
        "SELECT a FROM t WHERE b ILIKE 'x'",
        "SELECT a FROM t WHERE b IN (SELECT b FROM u)",
        "SELECT a FROM t ASOF JOIN u ON t.a >= u.a",
        "SELECT a FROM t NATURAL JOIN u",
        "SELECT a FROM t SEMI JOIN u ON t.a = u.a",
        "WITH RECURSIVE r AS (SELECT 1 AS a UNION ALL SELECT a + 1 FROM r) SELECT a FROM r",
        "FROM t",
        "SELECT a FROM t; SELECT b FROM t",
        "CREATE TABLE t AS SELECT 1 AS a",
        "SELECT",
    ],
)
def test_a_text_of_one_engine_is_refused(sql: str) -> None:
    assert faults(sql) != []
