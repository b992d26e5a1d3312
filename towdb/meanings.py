"""`describe`: what a table, view, column, word or unit means, from its one definition."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from towdb.contract.documents import kind_text
from towdb.contract.grammar import fold
from towdb.contract.model import Table, Vocabulary, contract
from towdb.duck.sql_files import columns_of, notes_of
from towdb.errors import UsageError, did_you_mean
from towdb.reference.relations import DERIVED, VIEWS, known_notes, view_sql
from towdb.reference.release_info import METADATA
from towdb.screening.engine import PUBLIC, output_sql
from towdb.wording import sentences

_TABLE_COLUMNS = ("column", "required", "type", "meaning", "example")
_VIEW_COLUMNS = ("column", "meaning")


@dataclass(frozen=True)
class Description:
    """One thing with a name, described.

    Attributes
    ----------
    kind : str
        ``table``, ``view``, ``derived table``, ``shortlist``, ``screening``, ``column``,
        ``vocabulary``, ``word`` or ``unit``; ``contents`` for the list of all tables and views;
        ``verdict of an answer`` and so on for its checks, outcomes, figures and reasons.
    name, meaning : str
        What it is called, and what it means.
    columns : tuple of str
        Names of the columns of `rows`.
    rows : tuple of tuple
        Its columns, its words, or the tables that have it.
    """

    kind: str
    name: str
    meaning: str
    columns: tuple[str, ...] = ()
    rows: tuple[tuple[Any, ...], ...] = ()


def describe(name: str | None = None) -> list[Description]:
    """Describe everything with a name; without one, list the tables and views.

    Parameters
    ----------
    name : str, optional
        A table, a view, a relation of a screening, a column, a word of a vocabulary or an alias
        of one, a unit, or a word of an answer; in any case.

    Returns
    -------
    list of Description
        One name may mean several things.

    Raises
    ------
    UsageError
        If nothing has that name; the nearest is named.
    """
    if name is None:
        return [_contents()]
    wanted = _plain(name)
    found = [d for d in _everything() if _plain(d.name) == wanted]
    if not found:
        known = {d.name for d in _everything()}
        raise UsageError(
            f"{name}: nothing has this name{did_you_mean(wanted, known)};"
            " list the names with: towdb describe"
        )
    return found


def _plain(name: str) -> str:
    return fold(name).replace(" ", "_").replace("-", "_")


def _contents() -> Description:
    rows = [(d.name, d.kind, d.meaning) for d in _relations()]
    meaning = "Tables and views of a release, what a person types, and relations of a screening."
    return Description("contents", "towdb", meaning, ("name", "kind", "meaning"), tuple(rows))


@cache
def _everything() -> tuple[Description, ...]:
    return tuple(_described())


def _described() -> Iterator[Description]:
    yield from _relations()
    for name in DERIVED:
        if name not in VIEWS:
            yield _query(name, "derived table", view_sql(name))
    yield from _columns()
    for vocabulary in contract().vocabularies.values():
        if vocabulary.name == "unit":
            # Its words follow as units.
            yield next(_vocabulary(vocabulary))
        else:
            yield from _vocabulary(vocabulary)
    yield from _units()
    yield from _answers()


@cache
def _columns_of(sql: str) -> tuple[str, ...]:
    # Needed for each word of an answer, and parsing a SELECT takes milliseconds.
    return tuple(columns_of(sql))


def _answers() -> Iterator[Description]:
    """The words of an answer: verdicts, checks, outcomes, what a margin is, and every reason."""
    for kind, meanings in sentences.MEANINGS.items():
        for name, meaning in meanings.items():
            rows = [row for row in _answer_columns() if _is_column_of(row[1], kind, name)]
            headings = ("relation", "column", "meaning")
            yield Description(f"{kind.replace('_', ' ')} of an answer", name, meaning, headings,
                              tuple(rows))  # fmt: skip
    by_reason: dict[str, list[tuple[str, str]]] = {}
    for (check, reason), text in sentences.REASONS.items():
        by_reason.setdefault(reason, []).append((check or "a check of weights", text))
    for reason, lines in by_reason.items():
        meaning = lines[0][1] if len(lines) == 1 else "what it means depends on the check"
        yield Description("reason of an answer", reason, meaning, ("check", "meaning"),
                          tuple(lines))  # fmt: skip


def _answer_columns() -> Iterator[tuple[str, str, str]]:
    for name in ("verdict", "check_outcome", "capacity"):
        sql = output_sql(name)
        notes = known_notes() | notes_of(sql)[1]
        yield from ((name, column, notes[column]) for column in _columns_of(sql))


def _is_column_of(column: str, kind: str, name: str) -> bool:
    """Whether a column of an answer may have this word or figure, or is of this check."""
    if kind == "figure":
        return column.startswith((f"{name}_", f"{name}_at_most"))
    if kind == "check":
        return column in ("check", "governing_check") or column.startswith(f"{name}_")
    return column == kind or (kind == "outcome" and column.endswith("_outcome"))


def _relations() -> Iterator[Description]:
    for table in contract().tables.values():
        yield _table(table, "table")
    for name, (meaning, notes) in METADATA.items():
        yield Description("table", name, meaning, _VIEW_COLUMNS, tuple(notes.items()))
    for name in VIEWS:
        yield _query(name, "view", view_sql(name))
    yield _table(contract().candidate, "shortlist")
    for name in PUBLIC:
        yield _query(name, "screening", output_sql(name))


def _table(table: Table, kind: str) -> Description:
    rows = [
        (f.name, f.name in table.required, kind_text(table, f), f.meaning, f.good)
        for f in table.fields
    ]
    return Description(kind, table.name, table.meaning, _TABLE_COLUMNS, tuple(rows))


def _query(name: str, kind: str, sql: str) -> Description:
    meaning, notes = notes_of(sql)
    known = known_notes() | notes
    rows = [(column, known[column]) for column in _columns_of(sql)]
    return Description(kind, name, meaning, _VIEW_COLUMNS, tuple(rows))


def _columns() -> Iterator[Description]:
    homes: dict[str, list[tuple[str, str, str, str]]] = {}
    for relation in _relations():
        for row in relation.rows:
            is_typed = relation.columns == _TABLE_COLUMNS
            kind, meaning, example = row[2:] if is_typed else ("", row[1], "")
            homes.setdefault(row[0], []).append((relation.name, kind, meaning, example))
    for name, rows in homes.items():
        headings = ("stands in", "type", "meaning", "example")
        yield Description("column", name, rows[0][2], headings, tuple(rows))


def _vocabulary(vocabulary: Vocabulary) -> Iterator[Description]:
    aliases: dict[str, list[str]] = {}
    for alias, known in vocabulary.aliases.items():
        aliases.setdefault(known, []).append(alias)
    headings = ("word", "below", "typed also", "meaning")
    by_word = {
        word.name: (word.name, word.broader, ", ".join(aliases.get(word.name, ())), word.meaning)
        for word in vocabulary.words.values()
    }
    yield Description(
        "vocabulary", vocabulary.name, vocabulary.meaning, headings, tuple(by_word.values())
    )
    for word in vocabulary.words.values():
        below = [other.name for other in vocabulary.words.values() if other.broader == word.name]
        is_alone = not below and word.name not in aliases
        rows = () if is_alone else tuple(by_word[name] for name in (word.name, *below))
        meaning = f"{word.meaning} (a word of {vocabulary.name})"
        for name in (word.name, *aliases.get(word.name, ())):
            yield Description("word", name, meaning, headings, rows)


def _units() -> Iterator[Description]:
    headings = ("dimension", "factor", "offset", "typed also", "source of the factor")
    for unit in contract().units.values():
        row = (unit.dimension, unit.factor, unit.offset, ", ".join(unit.aliases), unit.source)
        for name in (unit.name, *unit.aliases):
            yield Description("unit", name, unit.meaning, headings, (row,))


def description_rows(descriptions: Sequence[Description]) -> list[dict[str, Any]]:
    """Descriptions as objects for JSON."""
    return [
        {
            "kind": d.kind,
            "name": d.name,
            "meaning": d.meaning,
            "rows": [dict(zip(d.columns, row, strict=True)) for row in d.rows],
        }
        for d in descriptions
    ]
