"""Texts, files and queries for a fuzz: as people type them, nearly so, and as nobody should."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass

from hypothesis import strategies as st

from towdb.contract.model import contract


@dataclass(frozen=True)
class Damaged:
    """A copy of a release: cut at a share of its length, with bytes turned over."""

    cut: float
    turned: tuple[float, ...] = ()


@dataclass(frozen=True)
class Parquet:
    """A Parquet file of a few rows: names of columns, and what DuckDB is to put there.

    Then cut at a share of its length, with bytes turned over.
    """

    columns: tuple[tuple[str, str], ...]
    cut: float = 1.0
    turned: tuple[float, ...] = ()


Content = bytes | Damaged | Parquet | None


WORDS = sorted(
    {word for vocabulary in contract().vocabularies.values() for word in vocabulary.words}
)
# Where code that reads, compares or prints text has gone wrong before.
NASTY = [
    "", " ", "'", '"', '""', "\n", "\r", "\r\n", "a\rb", "a\nb", "\t", "\x0b", "\x0c", "\x1b[2J",
    "\x7f",
    "\x85", "\u2028", "\u202e", "\u200b", "\u061c", "\ufeff", "\u00a0", "\u0130", "\u1e9e",
    "a\u0308",
    "\U0001f697", "\U000e0041", "\ufffd", "\uffff", "ſ", "=1+1", "-1", "@x", "+1", "%s", "{0}",
    "{x}",
    "[bold]x[/bold]", "[/]", "\\", "\\N", "$1", "?", "NULL", "nan", "inf", "-0", "1e9",
    "1e999999999",
    "0x10", "1_000", "٣", "²", "½", "4,400 lb", "4.400,5 lb", "1 655 kg", "99999999999999999999",
    "not",
    "9" * 400, "0." + "0" * 300 + "1", "any", "none", "not any", "a | b", "a;b", "a=b", "../x",
    "/no/x",
    "x" * 5000, "|", ",", ";", "2021-02-30", "0000-00-00", "9999-12-31", "'; DROP TABLE x; --",
    "yes",
]  # fmt: skip
TEXT = st.text(st.characters(codec="utf-8"), max_size=6)
CELL = st.one_of(st.sampled_from(NASTY), st.sampled_from(WORDS), TEXT)
# Bytes of a name that are no UTF-8 reach a program as such halves of characters; a NUL never does.
TYPED = st.one_of(CELL, CELL, TEXT.map(lambda text: text + "\udcff")).map(
    lambda text: text.replace("\x00", "")
)


def sometimes(draw: st.DrawFn, one_in: int = 3) -> bool:
    """True once in so many; shrinks to False."""
    return draw(st.integers(0, one_in - 1)) == one_in - 1


def rarely(
    usual: st.SearchStrategy[str], odd: st.SearchStrategy[str], one_in: int = 10
) -> st.SearchStrategy[str]:
    """The usual, and once in so many the odd."""
    return st.integers(0, one_in - 1).flatmap(lambda at: odd if at == one_in - 1 else usual)


# ---------------------------------------------------------------- bytes of a file


@st.composite
def tables(
    draw: st.DrawFn,
    original: bytes,
    columns: Sequence[str],
    *,
    some: bool = False,
    once: bool = False,
) -> bytes:
    """A CSV file with cells and names of columns changed, then its bytes.

    `some`: of its lines; `once`: each of them once at most.
    """
    header, *lines = csv.reader(original.decode().splitlines())
    rows = [list(line) for line in lines]
    if some:
        few = st.lists(
            st.sampled_from(lines), min_size=1, max_size=4, unique_by=tuple if once else None
        )
        rows = [list(row) for row in draw(few)]
    for _ in range(draw(st.sampled_from([0, 1, 1, 2]))):
        row, at = draw(st.sampled_from(rows)), draw(st.integers(0, len(header) - 1))
        row[at] = draw(st.sampled_from([line[at] for line in lines] + [""]) | CELL)
    if sometimes(draw, 8):
        header[draw(st.integers(0, len(header) - 1))] = draw(st.sampled_from(columns) | CELL)
    if sometimes(draw, 12):
        rows[-1] = rows[-1][:-1] if draw(st.booleans()) else [*rows[-1], draw(CELL)]
    delimiter = ";" if sometimes(draw, 12) else ","
    end = draw(st.sampled_from(["\n", "\n", "\n", "\n", "\r\n", "\r", "\n\n"]))
    text = "".join(delimiter.join(map(_quoted, row)) + end for row in [header, *rows])
    return draw(bent(text)) if sometimes(draw, 8) else text.encode()


def _quoted(cell: str) -> str:
    return '"' + cell.replace('"', '""') + '"' if set(cell) & set(',;"\r\n') else cell


@st.composite
def bent(draw: st.DrawFn, text: str) -> bytes:
    """The bytes of a text as other programs save them, or as a disk may have lost them."""
    encoding = draw(st.sampled_from(["utf-8", "utf-8-sig", "latin-1", "utf-16", "utf-32", "utf-7"]))
    data = text.encode(encoding, "replace")
    at = draw(st.integers(0, len(data)))
    piece = draw(st.sampled_from([
        b"", b"\x00", b'"', b"\r", b"\xff", b"\xed\xa0\x80", b"\xc3", b"\xef\xbb\xbf", b"'",
        b"\x1a", b"x" * 200_000,
        b"x" * 1_000_001, b'""', b"[", b"\n\n", b"\\", b"\xf4\x90\x80\x80",
    ]) | st.binary(max_size=4))  # fmt: skip
    gone = draw(st.integers(0, 3))
    data = data[:at] + piece + data[at + gone :]
    return data[: draw(st.integers(0, len(data)))] if sometimes(draw, 4) else data


DAMAGED = st.builds(
    Damaged,
    st.sampled_from([1.0, 1.0, 0.0, 0.5]) | st.floats(0, 1),
    st.lists(st.floats(0, 0.999), max_size=3).map(tuple),
)
ODD = st.sampled_from([
    "1", "2021", "-1", "0", "1.5", "NULL", "'Quillon'", "'Pika'", "'4400 lb'", "'nan'::DOUBLE",
    "'-inf'::DOUBLE",
    "2021.0::DOUBLE", "1e300::DOUBLE", "-0.0::FLOAT", "DATE '2021-03-01'", "'infinity'::DATE",
    "'infinity'::TIMESTAMP",
    "TIMESTAMP '2021-03-01 10:00:00'", "'2021-03-01 00:00:00+00'::TIMESTAMPTZ", "TIME '10:00:00'",
    "INTERVAL 1 MONTH",
    "[1, 2]", "[]", "['a', NULL]", "{'a': 1}", "MAP {'a': 1}", "'\\xFF'::BLOB", "TRUE",
    "'yes'::ENUM ('yes', 'no')",
    "170141183460469231731687303715884105727::HUGEINT",
    "'00000000-0000-0000-0000-000000000001'::UUID",
    "'{\"a\": 1}'::JSON", "4400.50::DECIMAL(18,2)", "9::UTINYINT", "''", "' '",
    "'a' || chr(10) || 'b'", "chr(27)",
    "repeat('x', 100000)", "'=1+1'", "CASE WHEN i % 2 = 0 THEN 'a' END", "i", "i::VARCHAR",
    "'row 2'", "chr(8238)",
    "TIMESTAMP_NS '2021-03-01 00:00:00.000000001'", "'290000-01-01'::TIMESTAMP",
    "'0044-03-15 (BC)'::DATE",
])  # fmt: skip


@st.composite
def parquets(draw: st.DrawFn, names: Sequence[str], *, hurt: bool = False) -> Parquet:
    """A Parquet file with some of these columns, of any type; `hurt`: rarely a damaged one."""
    other = CELL.filter(lambda text: text != "" and "\x00" not in text)
    name = rarely(st.sampled_from(names), other, 20)
    columns = st.lists(
        st.tuples(name, ODD), min_size=1, max_size=6, unique_by=lambda column: column[0].lower()
    )
    made = tuple(draw(columns))
    if not hurt or not sometimes(draw, 6):
        return Parquet(made)
    damage = draw(DAMAGED)
    return Parquet(made, damage.cut, damage.turned)


@st.composite
def tomls(draw: st.DrawFn, original: bytes, keys: Sequence[str]) -> bytes:
    """A TOML file: lines changed, added and taken away, then perhaps its bytes."""
    lines = original.decode().splitlines()
    for _ in range(draw(st.integers(0, 3))):
        at = draw(st.integers(0, len(lines)))
        new = f"{draw(st.sampled_from(keys))} = {draw(TOML_VALUE)}"
        gone = draw(st.integers(0, 1))
        lines[at : at + gone] = [new] if draw(st.booleans()) else []
    text = "\n".join(lines) + "\n"
    return draw(bent(text)) if sometimes(draw, 8) else text.encode()


TOML_VALUE = st.one_of(
    CELL.map(lambda text: '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'),
    st.sampled_from([
        "1", "-1", "0.8", "nan", "inf", "true", "[]", "[[]]", "{}", '"5000 lb"',
        '["5000 lb", "2000 kg"]',
        "'0 lb'", '{ value = "5000 lb" }', '{ value = 5000 }',
        '{ value = "5000 lb", read_from = 1 }',
        '{ valeu = "1 lb" }', '[{ value = "5000 lb" }, { value = "1 lb" }]', "2021-03-01",
        "10:00:00",
        "2021-03-01T10:00:00Z", '"none_stated"', '{ value = { value = "1 lb" } }', '"gvwr"',
        '"3 in"',
        '"-3 in"', '"3 lb"', "[1, {}]", "9" * 5000, "1e999", "0x" + "f" * 5000, "[" * 2000,
        '"""a\nb"""',
        '"\\ud800"', '"\\u0000"', '"\\u001b[2J"', '"\\u202e"', '"9,640 kg"', '"26000 lb"',
        '"enforce"',
    ]),
)  # fmt: skip


# ---------------------------------------------------------------- queries

HOSTILE = [
    "select * from read_csv('/etc/passwd')", "from '/etc/passwd'",
    "from read_text('../demo.duckdb')", "from glob('*')",
    "copy (select 1) to 'leak.csv'", "copy release to 'leak.csv'", "attach 'leak.duckdb'",
    "detach reference",
    "set memory_limit = '1GB'", "set enable_external_access = true", "reset all", "install httpfs",
    "load httpfs",
    "pragma database_list", "pragma enable_profiling", "select 1; select 2",
    "select 1; drop table release", ";", "--x",
    "/*", "select 1 --", "begin", "commit", "checkpoint", "vacuum", "create table leak (a int)",
    "drop view statement",
    "create temp view leak as select 1", "insert into release values (1)", "delete from release",
    "update release set x = 1",
    "export database 'leak'", "import database 'leak'",
    "from enable_logging(storage = 'file', storage_path = 'leak')",
    "from enable_logging(storage = 'stdout')", "from enable_profiling()", "from force_checkpoint()",
    "from checkpoint()",
    "from query('copy (select 1) to ''leak.csv''')", "from query_table('release')",
    "from sniff_csv('/etc/passwd')",
    "from duckdb_settings()", "from duckdb_secrets()", "select getenv('HOME')",
    "call pragma_version()", "explain select 1",
    "explain analyze select 1", "prepare x as select 1", "execute x", "select $1", "select ?",
    "select $a", "show tables",
    "describe release", "summarize release", "select error('a' || chr(10) || chr(27))",
    "select 1 / 0", "use memory",
    "with recursive t(n) as (select 1 union all select n + 1 from t where n < 50) from t",
    "with t as materialized (select * from release) select * from t, t as u",
    "pivot release on invented", "values (1, 2)",
    "select * from arrow_scan(1, 2, 3)", "select * from pandas_scan(1)",
    "from json_execute_serialized_sql('{}')",
    "select * from read_csv('cars.csv')", "from 'cars.csv'", "select * from inv",
    "from inv limit 3", "table inv",
]  # fmt: skip
VALUES = [
    "1", "-0.0", "'nan'::double", "'inf'::double", "1e308 * 10", "9223372036854775807",
    "9223372036854775807 + 1", "NULL",
    "170141183460469231731687303715884105727", "1e400", "'a' || chr(13) || 'b'", "chr(10)",
    "chr(13)", "chr(0)", "chr(27)",
    "chr(8238)", "chr(1564)", "chr(133)", "chr(55296)", "'\\xff'::blob", "date '2021-03-01'",
    "'infinity'::date", "'-infinity'::timestamp",
    "date '0044-03-15 (BC)'", "timestamp '290000-01-01'", "timestamptz '2021-01-01 00:00:00+01'",
    "time '24:00:00'",
    "timetz '10:00:00+15:59:59'", "interval '1' month", "bitstring '101'",
    "uuid '00000000-0000-0000-0000-000000000001'",
    "[1, NULL]", "[]", "{'a': 1}", "{'a': 'nan'::double}", "map {'a': 1}", "map {[1]: 2}",
    "map {NULL: 1}", "1::variant",
    "'{}'::json", "'a'::enum ('a')", "union_value(a := 1)", "1.50::decimal(18,2)", "x'00'",
    "'a'::bit", "list_value()",
    "repeat('x', 3000)", "repeat(chr(10), 30)", "'=1+1'", "array_value(1, 2)", "row(1, 'a')",
    "lambda x: x", "x -> x", "*",
    "timestamp_ns '2021-01-01 00:00:00.000000001'", "timestamp_s '2021-01-01'", "9::utinyint",
    "current_date", "(select 1)",
    "1::bignum", "time_ns '10:00:00.123456789'", "'[1,2]'::int[]", "'2021'::int", "true",
    "columns(*)", "release_id", "''",
]  # fmt: skip
TOKENS = [
    "select", "from", "where", "group by", "order by", "having", "limit 3", "as", "and", "or",
    "not", "(", ")", ",", "*", "=",
    "union all", "distinct", "case when", "then", "end", "over ()", "count(*)", "max", "null", "'",
    '"', "''", "--", "/*",
    "*/", "1", "0", "-", "::int", "::date", "1e9", "is", "in", "like '%'", "between", "exists",
    "with x as", "lateral", "$1",
    "make", "release_id", "invented", "towdb_data.", "reference.", "qualify", "unnest([1])",
    "asof join", "try_cast(1 as x)",
]  # fmt: skip


@st.composite
def queries(draw: st.DrawFn, relations: list[str]) -> str:
    """SQL, nearly SQL, and what nobody should run; nothing that runs for long."""
    relation = st.sampled_from(["release", "statement", "coach", "source", "weight", *relations])
    match draw(st.sampled_from(["values", "values", "near", "hostile", "tokens", "text"])):
        case "values":
            named = st.builds(
                lambda v, n: f'{v} as "{n}"' if n else v, st.sampled_from(VALUES), TYPED
            )
            one = draw(
                st.lists(
                    named if sometimes(draw) else st.sampled_from(VALUES), min_size=1, max_size=4
                )
            )
            return f"select {', '.join(one)}" + (
                f" from {draw(relation)} limit 2" if sometimes(draw) else ""
            )
        case "near":
            good = f"select * from {draw(relation)} limit 3"
            at = draw(st.integers(0, len(good)))
            return good[:at] + draw(TYPED) + good[at + draw(st.integers(0, 3)) :]
        case "hostile":
            return draw(st.sampled_from(HOSTILE))
        case "tokens":
            # Two relations at most: a cross join of more would not end.
            words = draw(st.lists(st.sampled_from(TOKENS), max_size=9))
            for at in draw(st.lists(st.integers(0, 9), max_size=2)):
                words.insert(at, draw(relation))
            return " ".join(words)
    return draw(TYPED)
