"""Coaches: a TOML file that a person wrote, or a coach of the reference by its id."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

import duckdb

from towdb.contract.hints import name_hint, word_hint
from towdb.contract.model import Word, contract
from towdb.contract.quantities import parse_quantity
from towdb.contract.typed import typed_mass, typed_word
from towdb.errors import UsageError, did_you_mean
from towdb.files.toml import read_toml

NOT_STATED = "not stated"
KEYS = ("name", "properties")
FIGURE_KEYS = ("value", "read_from")


@dataclass(frozen=True)
class Figure:
    """One figure of a coach, where it was read, and whether it has been checked.

    `low_kg` and `high_kg` are exact; None where the figure is a word or not a weight.
    """

    property: str
    text: str
    low_kg: Decimal | None
    high_kg: Decimal | None
    word: str | None
    read_from: str
    checked: bool
    key: str | None = None


@dataclass(frozen=True)
class Coach:
    """One coach: its short name in results, its name, and its figures.

    `from_file` distinguishes a coach file from a coach of the reference.
    """

    coach: str
    name: str
    figures: tuple[Figure, ...]
    from_file: bool = True


CoachLike = str | Path | Coach


def find_coaches(
    wanted: CoachLike | Iterable[CoachLike], on_record: Mapping[str, str]
) -> tuple[Coach, ...]:
    """The named coaches: each a path of a TOML file, a coach_id, or a Coach.

    `on_record` gives the names of the reference's coaches by their ids.

    Raises
    ------
    UsageError
        If one is neither, or a file cannot be used; all its faults are listed.
    """
    each = [wanted] if isinstance(wanted, (str, Path, Coach)) else list(wanted)
    if not each:
        raise UsageError("name a coach: a TOML file, or the id of a coach of the reference")
    coaches = tuple(_find(one, on_record) for one in each)
    for name, count in Counter(coach.coach for coach in coaches).items():
        if count > 1:
            raise UsageError(f"two coaches are called {name}; rename one of the files")
    return coaches


def _find(wanted: CoachLike, on_record: Mapping[str, str]) -> Coach:
    if isinstance(wanted, Coach):
        return wanted
    path = Path(wanted)
    if path.is_file() or path.suffix == ".toml":
        return read_coach(path)
    coach_id = str(wanted)
    if coach_id not in on_record:
        raise UsageError(
            f"coach {wanted}: neither a file nor a coach of the reference"
            f"{did_you_mean(coach_id, on_record)}; name a .toml file, or one of"
            f" {', '.join(sorted(on_record)) or 'none on record'}"
        )
    # Its figures are read once the date is known: by then one may be withdrawn.
    return Coach(coach_id, on_record[coach_id], (), from_file=False)


def read_coach(path: Path) -> Coach:
    """Read a coach file.

    Raises
    ------
    UsageError
        If it cannot be read or used; all its faults are listed, one a line.
    """
    entry = read_toml(path, "coach file")
    faults = [f"{path}: {_unknown_key(key)}" for key in entry if key not in KEYS]
    properties = entry.get("properties", {})
    if not isinstance(properties, dict):
        raise UsageError(f"{path}: write the figures below a line [properties]")
    figures: list[Figure] = []
    for name, value in properties.items():
        try:
            figures += _figures(name, value)
        except UsageError as error:
            faults.append(f"{path}: {name}: {error}")
    if not isinstance(entry.get("name", path.stem), str):
        faults.append(f"{path}: name: write it as text, in quotes")
    if not properties and not faults:
        faults.append(f"{path}: has no figure; write the figures below a line [properties]")
    if faults:
        raise UsageError("\n".join(faults))
    name = entry.get("name", path.stem)
    return Coach(path.stem, name, tuple(figures))


def _unknown_key(key: str) -> str:
    """What is wrong with a key that no coach file has: a figure there would not be read."""
    may = "a coach file takes name and the table [properties]"
    if key == "outfit":
        return f"outfit: no check reads this table; remove it: {may}"
    if key in _properties():
        return f"{key}: write it below the line [properties]: {may}"
    return f"unknown key {key[:40]}{name_hint(key, KEYS)}; {may}"


def enter_coaches(con: duckdb.DuckDBPyConnection, coaches: Iterable[Coach]) -> None:
    """Create ``coach_name`` and ``coach_figure``; figures on record as of the date of ``call``."""
    con.execute("CREATE TEMP TABLE coach_name (coach_no INTEGER, coach VARCHAR, name VARCHAR)")
    con.execute(
        "CREATE TEMP TABLE coach_figure (coach_no INTEGER, property VARCHAR,"
        " low_kg DECIMAL(18,10), high_kg DECIMAL(18,10), is_none_stated INTEGER,"
        " checked INTEGER, key VARCHAR, read_from VARCHAR)"
    )
    for number, coach in enumerate(coaches, start=1):
        con.execute("INSERT INTO coach_name VALUES ($1, $2, $3)", [number, coach.coach, coach.name])
        for figure in coach.figures:
            con.execute(
                "INSERT INTO coach_figure VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
                [number, figure.property, figure.low_kg, figure.high_kg,
                 int(figure.word == "none_stated"), int(figure.checked), figure.key,
                 figure.read_from],
            )  # fmt: skip
        if not coach.from_file:
            con.execute(
                "INSERT INTO coach_figure SELECT $1, f.property, f.low_kg, f.high_kg,"
                " f.is_none_stated, f.checked, f.coach_property_id, NULL"
                " FROM towdb_data.coach_fact AS f LEFT JOIN withdrawn_row AS x"
                " ON x.table_name = 'coach_property' AND x.row_key = f.coach_property_id"
                " AND x.is_checked = 1 WHERE f.coach_id = $2 AND x.row_key IS NULL",
                [number, coach.coach],
            )
        # Every coach has a row, or one without figures would vanish from the answer.
        con.execute("INSERT INTO coach_figure (coach_no, checked) VALUES ($1, 0)", [number])


def coach_of(fields: Mapping[str, Any]) -> Coach:
    """A coach from what `coach_fields` kept of it.

    Raises
    ------
    UsageError
        If a figure can no longer be read.
    """
    words = contract().vocabularies["property"].words
    figures = [_figure(words[f["property"]], f["text"], f["read_from"]) for f in fields["figures"]]
    return Coach(fields["coach"], fields["name"], tuple(figures), from_file=fields["from_file"])


def coach_fields(coach: Coach) -> dict[str, Any]:
    """A coach as plain text, so that it can be kept and screened again."""
    figures = [
        {"property": f.property, "text": f.text, "read_from": f.read_from} for f in coach.figures
    ]
    return {"coach": coach.coach, "name": coach.name, "from_file": coach.from_file,
            "figures": figures}  # fmt: skip


def _figures(name: str, value: Any) -> Iterator[Figure]:
    words, known = contract().vocabularies["property"].words, _properties()
    if name not in known:
        raise UsageError(
            f"no such property of a coach{name_hint(name, known)}; use one of {', '.join(known)}"
        )
    if value == []:
        raise UsageError("has no figure; write one, or leave the line out")
    for one in value if isinstance(value, list) else [value]:
        read_from = NOT_STATED
        if isinstance(one, dict):
            for key in one:
                if key not in FIGURE_KEYS:
                    listed = " and ".join(FIGURE_KEYS)
                    raise UsageError(
                        f"unknown key {key[:40]}{name_hint(key, FIGURE_KEYS)}; a figure takes"
                        f" {listed}"
                    )
            read_from = one.get("read_from", NOT_STATED)
            one = one.get("value")
        if not isinstance(one, str) or not isinstance(read_from, str):
            raise UsageError(f'write it with its unit, in quotes: {name} = "5000 lb"')
        yield _figure(words[name], one, read_from)


def _properties() -> list[str]:
    words = contract().vocabularies["property"].words.values()
    return [word.name for word in words if "coach_property" in word.tables]


def _figure(word: Word, text: str, read_from: str) -> Figure:
    if word.vocabulary:
        meant = typed_word(word.vocabulary, text)
        if meant:
            return Figure(word.name, text, None, None, meant, read_from, True)
        if not word.dimension:
            vocabulary = contract().vocabularies[word.vocabulary]
            raise UsageError(
                f"unknown word {text[:40]!r}{word_hint(text, vocabulary)};"
                f" use one of {', '.join(vocabulary.words)}"
            )
    if word.dimension == "mass":
        mass = typed_mass(text, None, word)
        if not isinstance(mass, Decimal):
            raise UsageError(f"{text[:40]!r}: {mass.message}; {mass.remedy}")
        return Figure(word.name, text, mass, mass, None, read_from, True)
    quantity = parse_quantity(text)
    if quantity.dimension != word.dimension:
        raise UsageError(f"{text[:40]!r} is not a {word.dimension}")
    # The same bounds as in the rule on believable figures of a reference.
    least, most = (parse_quantity(str(b)).canonical for b in (word.minimum, word.maximum))
    if not least <= quantity.canonical <= most:
        expected = f"expected {word.minimum} to {word.maximum}"
        raise UsageError(f"{text[:40]!r} is not believable; {expected}")
    return Figure(word.name, text, None, None, None, read_from, True)
