"""The contract rendered to DuckDB: tables, and the relations that rules and views build on.

Everything is in schema ``towdb_data`` and is named with it: an unqualified name could be
shadowed by a user's table or view of the same name.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator
from decimal import Decimal

from towdb.contract.model import ADDED, ANY_KIND, Field, Table, Word, contract
from towdb.contract.quantities import parse_quantity
from towdb.contract.rounding import rounding_macros
from towdb.duck.literals import Literal, literal

SQL_TYPES = {
    "number": "DECIMAL(15,6)",
    "integer": "INTEGER",
    "date": "DATE",
    "yes_no": "BOOLEAN",
}
# Wide enough for a number of the contract times any factor of units.csv, without rounding.
CANONICAL = "DECIMAL(29,14)"

# As `grammar.fold` folds: every kind of white space, inner runs to one space, lower case, and a
# letter with its accent as one character before and after, for some letters compose in lower case
# only.
FOLD = (
    "CREATE MACRO towdb_data.fold(t) AS nfc_normalize(lower(nfc_normalize("
    r"trim(regexp_replace(t, '[\s\p{Z}]+', ' ', 'g')))))"
)
# As `names_and_times.same_person`: nobody is the same person as somebody who is not named.
SAME_PERSON = (
    "CREATE MACRO towdb_data.same_person(one, other) AS"
    " coalesce(towdb_data.fold(one) = towdb_data.fold(other), FALSE)"
)

# From the day of the withdrawal on, that day included; never without such a day.
IS_WITHDRAWN = (
    "CREATE MACRO towdb_data.is_withdrawn(withdrawn_on, on_date) AS"
    " coalesce(withdrawn_on <= on_date, FALSE)"
)

_FACTOR = "DECIMAL(14,8)"
VOCABULARY_RELATIONS = {
    "unit": {
        "name": "VARCHAR",
        "dimension": "VARCHAR",
        "factor": _FACTOR,
        "offset": _FACTOR,
        "symbol": "VARCHAR",
    },
    "vocabulary_word": {
        "vocabulary": "VARCHAR",
        "word": "VARCHAR",
        "order_no": "INTEGER",
        "broader": "VARCHAR",
        "meaning": "VARCHAR",
        "is_open": "BOOLEAN",
    },
    "leaf": {"vocabulary": "VARCHAR", "word": "VARCHAR", "leaf": "VARCHAR"},
    "demand": {
        "table_name": "VARCHAR",
        "word": "VARCHAR",
        "dimension": "VARCHAR",
        "vocabulary": "VARCHAR",
        "value": "VARCHAR",
        "minimum": CANONICAL,
        "maximum": CANONICAL,
    },
}
# In these tables the named vocabulary defines the value of each property or quantity.
DEMANDING = {
    "vehicle_property": "property",
    "coach_property": "property",
    "equipment_property": "property",
    "towing_limit": "limit_quantity",
    "towing_rule_term": "rule_quantity",
}


def macros() -> dict[str, str]:
    """Statements that create what rules and relations call, by name, each after those it calls."""
    own = {"fold": FOLD, "same_person": SAME_PERSON, "is_withdrawn": IS_WITHDRAWN}
    return own | rounding_macros("CREATE MACRO towdb_data.")


def sql_type(field: Field) -> str:
    """DuckDB type of a field."""
    return SQL_TYPES.get(field.type, "VARCHAR")


def create_table(table: Table, *, catalog: str = "", guarded: bool = True) -> str:
    """CREATE TABLE of one table.

    Parameters
    ----------
    table : Table
        The table.
    catalog : str
        Catalog to create it in; empty: the current one.
    guarded : bool
        Whether to add NOT NULL, PRIMARY KEY and CHECK. Foreign keys are left to a rule: lists of
        ids cannot have one, and rows of one table point at each other.
    """
    columns = ", ".join(_column(table, field, guarded) for field in table.fields)
    return f"CREATE TABLE {_qualified(catalog, table.name)} ({columns})"


def typed_columns(table: Table, present: Container[str] | None = None) -> str:
    """The SELECT list that turns text into typed columns: all of them, or those present."""
    return ", ".join(
        f"(CASE \"{f.name}\" WHEN 'yes' THEN TRUE WHEN 'no' THEN FALSE END) AS \"{f.name}\""
        if f.type == "yes_no"
        else f'TRY_CAST("{f.name}" AS {sql_type(f)}) AS "{f.name}"'
        for f in table.fields
        if present is None or f.name in present
    )


def as_text(field: Field) -> str:
    """The expression of a typed column as text, as people write it: 65, and not 65.000000."""
    text = f'CAST("{field.name}" AS VARCHAR)'
    if field.type == "yes_no":
        return f"""CASE WHEN "{field.name}" THEN 'yes' WHEN NOT "{field.name}" THEN 'no' END"""
    return f"rtrim(rtrim({text}, '0'), '.')" if field.type == "number" else text


def vocabulary_relations(catalog: str = "") -> Iterator[str]:
    """Statements that create ``unit``, ``vocabulary_word``, ``leaf`` and ``demand``."""
    spec = contract()
    words = [
        (v, n, word)
        for v in spec.vocabularies.values()
        for n, word in enumerate(v.words.values(), start=1)
    ]
    rows: dict[str, Iterable[tuple[Literal, ...]]] = {
        "unit": ((u.name, u.dimension, u.factor, u.offset, u.symbol) for u in spec.units.values()),
        "vocabulary_word": (
            (v.name, w.name, Decimal(n), w.broader, w.meaning, v.is_open) for v, n, w in words
        ),
        "leaf": ((v.name, w.name, leaf) for v, _, w in words for leaf in sorted(v.leaves(w.name))),
        "demand": _demands(),
    }
    for name, columns in VOCABULARY_RELATIONS.items():
        yield _values(_qualified(catalog, name), columns, rows[name])


def derived_relations() -> Iterator[str]:
    """Statements that create what rules read besides the typed tables of the contract."""
    tables = contract().tables.values()
    yield from macros().values()
    yield "CREATE VIEW towdb_data.entry_row AS " + _union(_entry_row(table) for table in tables)
    yield "CREATE TABLE towdb_data.link AS " + _union(
        _link(table, field) for table in tables for field in table.fields if _targets(table, field)
    )
    yield "CREATE TABLE towdb_data.known_key AS " + _union(
        f"SELECT {literal(' or '.join(targets))} AS target_table, {target}_id AS target"
        f" FROM towdb_data.{target}"
        for targets in sorted({_targets(t, f) for t in tables for f in t.fields} - {()})
        for target in targets
    )
    yield "CREATE TABLE towdb_data.cell AS " + _union(
        _cell(table, field) for table in tables for field in table.fields if field.type == "words"
    )
    yield "CREATE VIEW towdb_data.demanding_row AS " + _union(
        _demanding_row(contract().tables[table]) for table in DEMANDING
    )
    yield "CREATE TABLE towdb_data.figure_cell AS " + _union(
        _figure_cell(table, field) for table in tables for field in table.fields if field.unit_in
    )
    yield f"CREATE TABLE towdb_data.figure AS {_FIGURE}"
    yield f"CREATE VIEW towdb_data.demanded_figure AS {_DEMANDED_FIGURE}"


def _qualified(catalog: str, name: str) -> str:
    return f"{catalog}.towdb_data.{name}" if catalog else f"towdb_data.{name}"


def _column(table: Table, field: Field, guarded: bool) -> str:
    parts = [f'"{field.name}"', sql_type(field)]
    if guarded:
        if field.name == table.key:
            parts.append("PRIMARY KEY")
        elif field.name in table.required:
            parts.append("NOT NULL")
        if check := _check(field):
            parts.append(f"CHECK ({check})")
    return " ".join(parts)


def _check(field: Field) -> str:
    if field.type == "word" and field.vocabulary:
        vocabulary = contract().vocabularies[field.vocabulary]
        words = ", ".join(literal(word) for word in vocabulary.words)
        return "" if vocabulary.is_open else f'"{field.name}" IN ({words})'
    if field.minimum is not None and field.maximum is not None:
        kind = "DATE " if field.type == "date" else ""
        low, high = (
            literal(value) if field.type == "date" else str(value)
            for value in (field.minimum, field.maximum)
        )
        return f'"{field.name}" BETWEEN {kind}{low} AND {kind}{high}'
    return ""


def _values(name: str, columns: dict[str, str], rows: Iterable[tuple[Literal, ...]]) -> str:
    body = ", ".join(f"({', '.join(literal(cell) for cell in row)})" for row in rows)
    names = ", ".join(f'"{column}"' for column in columns)
    casts = ", ".join(
        f'CAST("{column}" AS {kind}) AS "{column}"' for column, kind in columns.items()
    )
    return f"CREATE TABLE {name} AS SELECT {casts} FROM (VALUES {body}) AS listed({names})"


def _demands() -> Iterator[tuple[Literal, ...]]:
    for table, vocabulary in DEMANDING.items():
        for word in contract().vocabularies[vocabulary].words.values():
            if not word.tables or table in word.tables:
                yield (table, word.name, word.dimension, word.vocabulary, word.value, *_range(word))


def _range(word: Word) -> tuple[Decimal | None, Decimal | None]:
    low, high = (
        None if bound is None else parse_quantity(bound).canonical
        for bound in (word.minimum, word.maximum)
    )
    return low, high


def _union(selects: Iterator[str]) -> str:
    return " UNION ALL ".join(selects)


def _targets(table: Table, field: Field) -> tuple[str, ...]:
    return contract().references(field, table)


def _row(table: Table) -> str:
    return f'{literal(table.name)} AS table_name, "{table.key}" AS row_key'


def _entry_row(table: Table) -> str:
    citation = {"file_page": "INTEGER"}
    columns = ["source_id", "locator", "file_page", "quote", "basis"]
    cited = ", ".join(
        f'"{c}"' if table.cited else f'CAST(NULL AS {citation.get(c, "VARCHAR")}) AS "{c}"'
        for c in columns
    )
    return (
        f"SELECT {_row(table)}, {cited}, entered_by, entered_on, checked_by, checked_on"
        f" FROM towdb_data.{table.name}"
    )


def _link(table: Table, field: Field) -> str:
    target = " or ".join(_targets(table, field))
    many = f"trim(unnest(string_split(\"{field.name}\", ',')))"
    return (
        f"SELECT {_row(table)}, {literal(field.name)} AS column_name,"
        f" {literal(target)} AS target_table,"
        f" {many if field.type == 'ids' else field.name} AS target"
        f' FROM towdb_data.{table.name} WHERE "{field.name}" IS NOT NULL'
    )


def _cell(table: Table, field: Field) -> str:
    column = f'"{field.name}"'
    listed = f"CASE WHEN {column} LIKE 'not %' THEN substr({column}, 5) ELSE {column} END"
    split = f"trim(unnest(string_split({listed}, '|')))"
    return (
        f"SELECT {_row(table)}, {literal(field.name)} AS column_name,"
        f" CASE WHEN {column} LIKE 'not %' THEN 'not' ELSE 'in' END AS form,"
        f" {split if field.vocabulary else f'towdb_data.fold({split})'} AS word"
        f" FROM towdb_data.{table.name} WHERE {column} <> 'any'"
        f" UNION ALL SELECT {_row(table)}, {literal(field.name)},"
        f" CASE WHEN {column} IS NULL THEN 'empty' ELSE 'any' END, NULL"
        f" FROM towdb_data.{table.name} WHERE {column} IS NULL OR {column} = 'any'"
    )


def _demanding_row(table: Table) -> str:
    word, date = (
        f't."{name}"' if name in table.columns else f"CAST(NULL AS {kind})"
        for name, kind in (("word", "VARCHAR"), ("date_value", "DATE"))
    )
    return (
        f"SELECT {_row(table)}, {literal(_name_column(table))} AS name_column,"
        f" t.{_name_column(table)} AS name, t.value, {word} AS word, {date} AS date_value"
        f" FROM towdb_data.{table.name} AS t"
    )


def _name_column(table: Table) -> str:
    """The column of a table that names the property or quantity of its rows."""
    return next(f.name for f in table.fields if f.vocabulary == DEMANDING[table.name])


def _figure_cell(table: Table, field: Field) -> str:
    demands, word, is_factor = literal(table.name), "CAST(NULL AS VARCHAR)", "FALSE"
    if field.measures in (None, ADDED):
        word = f"t.{_name_column(table)}"
        # With another quantity beside it, a figure is a factor of it: 40 %, or 3 times.
        if field.measures is None and "times_quantity" in table.columns:
            is_factor = "t.times_quantity IS NOT NULL"
    elif field.measures != ANY_KIND:
        demands, word = map(literal, str(field.measures).split("."))
    return (
        f'SELECT {_row(table)}, {literal(field.name)} AS column_name, t."{field.name}" AS value,'
        f' {literal(field.unit_in)} AS unit_column, t."{field.unit_in}" AS unit,'
        f" {demands} AS demanding_table, {word} AS demanding_word, {is_factor} AS is_factor,"
        f" {field.measures == ADDED} AS is_added FROM towdb_data.{table.name} AS t"
    )


# DuckDB keeps the product of two decimals of up to 18 digits in 18 digits, and overflows.
_FIGURE = f"""
    SELECT c.table_name, c.row_key, c.column_name, c.value, c.unit_column, u.name AS unit,
           u.dimension,
           CAST(CAST(c.value AS DECIMAL(24,6)) * u.factor + u."offset" AS {CANONICAL}) AS canonical
    FROM towdb_data.figure_cell AS c
    JOIN towdb_data.unit AS u ON u.name = c.unit
    WHERE c.value IS NOT NULL"""
# A factor of another quantity, and what is added to it, have no range of their own.
_DEMANDED_FIGURE = """
    SELECT f.*, CASE WHEN c.is_factor THEN 'share' ELSE d.dimension END AS demanded_dimension,
           NOT (c.is_factor OR c.is_added) AS has_range, d.minimum, d.maximum
    FROM towdb_data.figure AS f
    JOIN towdb_data.figure_cell AS c
        ON c.table_name = f.table_name AND c.row_key = f.row_key AND c.column_name = f.column_name
    JOIN towdb_data.demand AS d
        ON d.table_name = c.demanding_table AND d.word = c.demanding_word"""
