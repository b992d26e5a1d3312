"""The contract as Python objects, read once from schema/*.toml and units.csv."""

from __future__ import annotations

import csv
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cache, cached_property
from typing import Any
from unicodedata import combining, normalize

from towdb.resources import schema_path

ID_TYPES = ("id", "ids")
# What a figure may be judged as, beside the property or quantity of its own row or another.
ADDED, ANY_KIND = "added", "any"


@dataclass(frozen=True)
class Word:
    """One word of a vocabulary.

    `dimension`, `vocabulary` and `value` state what a property or quantity of this name demands;
    `tables` names the tables whose rows may have it (empty: no restriction).
    """

    name: str
    meaning: str
    broader: str | None = None
    dimension: str | None = None
    vocabulary: str | None = None
    value: str | None = None
    tables: tuple[str, ...] = ()
    minimum: str | None = None
    maximum: str | None = None


def name_key(text: str) -> str:
    """A name without capitals, accents and the marks inside names, its words joined by ``_``."""
    plain = "".join(c for c in normalize("NFKD", text) if not combining(c)).casefold()
    # Other marks stay: "manual?" is not a name, nor is "!manual".
    return re.sub(r"[\s_.,'’()-]+", "_", plain).rstrip("_")


def _written(name: str) -> tuple[str, ...]:
    """A name as a list prints it, and as people write it: "Congo, Republic of" the other way."""
    head, _, rest = name.partition(", ")
    return (name, f"{rest} {head}") if rest else (name,)


@dataclass(frozen=True)
class Vocabulary:
    """A closed (or, where `is_open`, merely known) set of words, perhaps a tree.

    `unclear` maps texts that may mean several words to these words. Where `meanings_are_names`,
    people also type what a word means, such as the name of a country.
    """

    name: str
    meaning: str
    words: Mapping[str, Word]
    aliases: Mapping[str, str]
    is_open: bool
    unclear: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    meanings_are_names: bool = False

    @cached_property
    def typed(self) -> Mapping[str, str]:
        """What people type instead of a word, by `name_key`, and that word."""
        found: dict[str, set[str]] = {}
        if self.meanings_are_names:
            for word in self.words.values():
                for name in _written(word.meaning):
                    found.setdefault(name_key(name), set()).add(word.name)
        # "user-assigned" is the meaning of many codes, and so the name of none.
        names = {name: min(words) for name, words in found.items() if len(words) == 1}
        names |= self.aliases
        return {
            name: word
            for name, word in names.items()
            if name not in self.words and name not in self.unclear
        }

    @cached_property
    def meanings(self) -> Mapping[str, frozenset[str] | None]:
        """Every text that may be typed, and the leaves that it covers; None: it is unclear."""
        found: dict[str, frozenset[str] | None] = {word: self.leaves(word) for word in self.words}
        found |= {alias: found[word] for alias, word in self.typed.items()}
        return found | dict.fromkeys(self.unclear)

    def order_of(self, word: str) -> int:
        """The number of a word in the order of the contract, the first being 1; 0 for any other."""
        return next((n for n, known in enumerate(self.words, start=1) if known == word), 0)

    def meant(self, text: str) -> str | None:
        """The word that a person means by what was typed, or None."""
        forms = (self.typed.get(form, form) for form in self._forms(text))
        return next((word for word in forms if word in self.words), None)

    def alias_for(self, text: str) -> str | None:
        """The word for which a text is an alias, or None."""
        return next((self.typed[form] for form in self._forms(text) if form in self.typed), None)

    def _forms(self, text: str) -> tuple[str, ...]:
        plain = " ".join(text.split()).lower()
        forms = (plain, re.sub("[ -]+", "_", plain))
        return (*forms, name_key(text)) if self.meanings_are_names else forms

    @cached_property
    def is_tree(self) -> bool:
        """Whether any word is below another."""
        return any(word.broader for word in self.words.values())

    def leaves(self, name: str) -> frozenset[str]:
        """The leaves that a word covers; a leaf covers itself."""
        below = [word.name for word in self.words.values() if word.broader == name]
        if not below:
            return frozenset({name})
        return frozenset().union(*(self.leaves(word) for word in below))


@dataclass(frozen=True)
class Unit:
    """One unit: canonical value = value * factor + offset."""

    name: str
    dimension: str
    factor: Decimal
    offset: Decimal
    symbol: str
    aliases: tuple[str, ...]
    meaning: str
    source: str


@dataclass(frozen=True)
class Field:
    """One field of the contract, as one table has it.

    `measures` names what a figure is judged as: ``table.word`` of a property or quantity, `ADDED`
    (as the row's own, without its range) or `ANY_KIND`; None: as the row's own.
    """

    name: str
    type: str
    meaning: str
    good: str
    bad: str
    vocabulary: str | None = None
    references: str | None = None
    unit: str | None = None
    unit_in: str | None = None
    measures: str | None = None
    minimum: Any = None
    maximum: Any = None
    max_length: int | None = None
    pattern: str | None = None


@dataclass(frozen=True)
class Table:
    """One table: its fields in contract order, the key first."""

    name: str
    meaning: str
    fields: tuple[Field, ...]
    required: frozenset[str]
    must_exist: bool
    cited: bool

    @property
    def key(self) -> str:
        """Name of the key column."""
        return self.fields[0].name

    @property
    def columns(self) -> tuple[str, ...]:
        """Names of all columns in contract order."""
        return tuple(field.name for field in self.fields)

    def field(self, name: str) -> Field:
        """The field of that name."""
        return next(field for field in self.fields if field.name == name)


@dataclass(frozen=True)
class Contract:
    """Everything that schema/ defines; `changes` has what changed in each version, newest first."""

    version: str
    changes: Mapping[str, tuple[str, ...]]
    tables: Mapping[str, Table]
    candidate: Table
    candidate_aliases: Mapping[str, str]
    vocabularies: Mapping[str, Vocabulary]
    units: Mapping[str, Unit]

    def references(self, field: Field, table: Table) -> tuple[str, ...]:
        """The tables whose keys the ids of a field point at (none: it is not a foreign key)."""
        if field.type not in ID_TYPES or field.name == table.key:
            return ()
        if field.references:
            return tuple(field.references.split(" or "))
        named = field.name.removesuffix("_id")
        return (named,) if named in self.tables else ()


@cache
def contract() -> Contract:
    """The contract, read from schema/ on first use."""
    folder = schema_path()
    tables = tomllib.loads((folder / "tables.toml").read_text("utf-8"))
    fields = tomllib.loads((folder / "fields.toml").read_text("utf-8"))
    words = tomllib.loads((folder / "vocabularies.toml").read_text("utf-8"))
    units = _read_units((folder / "units.csv").read_text("utf-8"))
    vocabularies = {name: _vocabulary(name, entry) for name, entry in words.items()}
    vocabularies["unit"] = _unit_vocabulary(units)
    return Contract(
        version=tables["contract_version"],
        changes={version: tuple(texts) for version, texts in tables["changes"].items()},
        tables={
            name: _table(name, entry, tables["columns"], fields)
            for name, entry in tables["table"].items()
        },
        candidate=_candidate(tables["candidate"], fields),
        candidate_aliases=tables["candidate"]["aliases"],
        vocabularies=vocabularies,
        units=units,
    )


def _vocabulary(name: str, entry: dict[str, Any]) -> Vocabulary:
    words = {}
    for word, body in entry["words"].items():
        attributes = {"meaning": body} if isinstance(body, str) else dict(body)
        attributes["broader"] = attributes.pop("in", None)
        attributes["tables"] = tuple(attributes.pop("of", ()))
        words[word] = Word(name=word, **attributes)
    return Vocabulary(
        name,
        entry["meaning"],
        words,
        entry.get("aliases", {}),
        entry.get("open", False),
        {text: tuple(meant) for text, meant in entry.get("unclear", {}).items()},
        entry.get("meanings_are_names", False),
    )


def _unit_vocabulary(units: Mapping[str, Unit]) -> Vocabulary:
    words = {u.name: Word(u.name, u.meaning, dimension=u.dimension) for u in units.values()}
    aliases = {alias: unit.name for unit in units.values() for alias in unit.aliases}
    return Vocabulary("unit", "Unit of a figure, as the page prints it.", words, aliases, False)


def _read_units(text: str) -> dict[str, Unit]:
    return {
        row["name"]: Unit(
            name=row["name"],
            dimension=row["dimension"],
            factor=Decimal(row["factor"]),
            offset=Decimal(row["offset"]),
            symbol=row["symbol"],
            aliases=tuple(alias for alias in row["aliases"].split("|") if alias),
            meaning=row["meaning"],
            source=row["source"],
        )
        for row in csv.DictReader(text.splitlines())
    }


def _table(
    name: str, entry: dict[str, Any], shared: dict[str, list[str]], fields: dict[str, Any]
) -> Table:
    cited = entry.get("cited", True)
    uncited_allowed = entry.get("uncited_allowed", False)
    columns = [*entry["columns"], *(shared["citation"] if cited else []), *shared["entry"]]
    required = {entry["columns"][0], *entry["required"], *shared["entry_required"]}
    if cited:
        # Where a row may rest on common practice, a rule decides when the citation may be empty.
        required |= {"basis"} if uncited_allowed else set(shared["citation_required"])
    return Table(
        name=name,
        meaning=entry["meaning"],
        fields=tuple(_field(column, name, fields[column]) for column in columns),
        required=frozenset(required),
        must_exist=entry.get("must_exist", False),
        cited=cited,
    )


def _candidate(entry: dict[str, Any], fields: dict[str, Any]) -> Table:
    # A person types one word where a page may name several, in any case and by its aliases.
    return Table(
        name="candidate",
        meaning=entry["meaning"],
        fields=tuple(
            replace(
                field,
                type="word" if field.vocabulary else "text",
                max_length=200,
                good=field.good.removeprefix("not ").split(" | ")[0],
                bad="whatever" if field.vocabulary else " ",
            )
            if field.type == "words"
            else field
            for field in (_field(name, "candidate", fields[name]) for name in entry["columns"])
        ),
        required=frozenset(),
        must_exist=False,
        cited=False,
    )


def _field(name: str, table: str, entry: dict[str, Any]) -> Field:
    general = {key: value for key, value in entry.items() if key != "in"}
    return Field(name=name, **{**general, **entry.get("in", {}).get(table, {})})
