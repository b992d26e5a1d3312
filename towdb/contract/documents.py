"""The contract rendered for people (a dictionary) and for other software (a Data Package v2)."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from pathlib import PurePath
from typing import Any

from towdb.contract.model import ADDED, ANY_KIND, Field, Table, Vocabulary, contract
from towdb.resources import schema_path

# Data Package v2, https://datapackage.org
_PACKAGE_PROFILE = "https://datapackage.org/profiles/2.0/datapackage.json"
_SCHEMA_PROFILE = "https://datapackage.org/profiles/2.0/tableschema.json"
_TYPES = {"number": "number", "integer": "integer", "date": "date", "yes_no": "boolean"}


def dictionary() -> str:
    """The dictionary of the contract: tables, vocabularies, units and policy, as Markdown."""
    spec = contract()
    lines = [
        "# Dictionary",
        "",
        f"Rendered from `schema/` by `scripts/render.py`; contract {spec.version}."
        " Required fields are **bold**.",
        "",
        "## What changed in the contract",
        "",
        *(f"- {version}: {' '.join(texts)}" for version, texts in spec.changes.items()),
        "",
        "## Tables",
        *(line for table in spec.tables.values() for line in _table_lines(table)),
        "",
        "## What a person types",
        *_table_lines(spec.candidate),
        "",
        "## Vocabularies",
        *(line for v in spec.vocabularies.values() for line in _vocabulary_lines(v)),
        "",
        "## Units",
        "",
        "| unit | dimension | factor to the canonical unit | offset | meaning | source |",
        "|---|---|---|---|---|---|",
        *(
            _row(u.name, u.dimension, u.factor, u.offset, u.meaning, u.source)
            for u in spec.units.values()
        ),
        "",
        "## Policy file",
        "",
        "| key | default | meaning | source |",
        "|---|---|---|---|",
        *(
            _row(key, entry["default"], entry["meaning"], entry["source"])
            for key, entry in policy_keys().items()
        ),
    ]
    return "\n".join(lines) + "\n"


def policy_keys() -> dict[str, dict[str, Any]]:
    """The keys of a policy file: default, meaning and source of each."""
    return tomllib.loads((schema_path() / "policy.toml").read_text("utf-8"))


def data_package(files: Mapping[str, PurePath], name: str, title: str) -> dict[str, Any]:
    """The Data Package v2 descriptor of a reference folder.

    Parameters
    ----------
    files : mapping
        Table name to the file of that table, relative to the descriptor.
    name, title : str
        Of the package.

    Returns
    -------
    dict
        Ready for JSON.
    """
    spec = contract()
    return {
        "$schema": _PACKAGE_PROFILE,
        "name": name,
        "title": title,
        "version": spec.version,
        "resources": [
            {
                "name": table.name,
                "path": files[table.name].as_posix(),
                "type": "table",
                "format": "csv",
                "mediatype": "text/csv",
                "encoding": "utf-8",
                "description": table.meaning,
                "schema": _table_schema(table, files),
            }
            for table in spec.tables.values()
            if table.name in files
        ],
    }


def _table_schema(table: Table, files: Mapping[str, PurePath]) -> dict[str, Any]:
    keys = [
        {
            "fields": [field.name],
            "reference": {"resource": "" if target == table.name else target, "fields": [key]},
        }
        for field in table.fields
        if field.type == "id"
        for target in contract().references(field, table)
        if target in files and len(contract().references(field, table)) == 1
        for key in [contract().tables[target].key]
    ]
    return {
        "$schema": _SCHEMA_PROFILE,
        "fields": [_field_schema(table, field) for field in table.fields],
        "fieldsMatch": "superset",
        "missingValues": [""],
        "primaryKey": [table.key],
        **({"foreignKeys": keys} if keys else {}),
    }


def _field_schema(table: Table, field: Field) -> dict[str, Any]:
    constraints: dict[str, Any] = {}
    if field.name in table.required:
        constraints["required"] = True
    if field.name == table.key:
        constraints["unique"] = True
    if field.type in _TYPES and field.minimum is not None:
        constraints |= {"minimum": field.minimum, "maximum": field.maximum}
    if field.max_length:
        constraints["maxLength"] = field.max_length
    if field.type == "id":
        constraints["pattern"] = "[a-z0-9.-]{1,80}"
    if field.type == "word" and field.vocabulary:
        constraints["enum"] = list(contract().vocabularies[field.vocabulary].words)
    described: dict[str, Any] = {
        "name": field.name,
        "type": _TYPES.get(field.type, "string"),
        "description": field.meaning,
        "example": field.good,
    }
    if field.type == "yes_no":
        described |= {"trueValues": ["yes"], "falseValues": ["no"]}
    if field.unit:
        described["unit"] = field.unit
    return {**described, **({"constraints": constraints} if constraints else {})}


def _table_lines(table: Table) -> Iterator[str]:
    yield from ("", f"### {table.name}", "", table.meaning, "")
    yield "| field | type | meaning | good | bad |"
    yield "|---|---|---|---|---|"
    for field in table.fields:
        name = f"**{field.name}**" if field.name in table.required else field.name
        yield _row(
            name, kind_text(table, field), field.meaning, _code(field.good), _code(field.bad)
        )


def kind_text(table: Table, field: Field) -> str:
    """The type of a field, with its vocabulary, unit, target and bounds, in words."""
    parts = [field.type]
    if field.vocabulary:
        parts.append(f"of {field.vocabulary}")
    if field.unit:
        parts.append(f"in {field.unit}")
    if field.unit_in:
        parts.append(f"in {field.unit_in}")
    if field.measures not in (None, ADDED, ANY_KIND):
        table_name, _, word = str(field.measures).partition(".")
        parts.append(f"as {word} of {table_name}")
    if targets := contract().references(field, table):
        parts.append("of " + " or ".join(targets))
    if field.minimum is not None:
        parts.append(f"{field.minimum} to {field.maximum}")
    if field.max_length:
        parts.append(f"at most {field.max_length} characters")
    return ", ".join(parts)


def _vocabulary_lines(vocabulary: Vocabulary) -> Iterator[str]:
    if vocabulary.name == "unit":
        return
    other = " Other words are allowed." if vocabulary.is_open else ""
    yield from ("", f"### {vocabulary.name}", "", vocabulary.meaning + other, "")
    if vocabulary.name == "market":
        yield ", ".join(f"`{word.name}` {word.meaning}" for word in vocabulary.words.values())
    else:
        yield from ("| word | below | demands | meaning |", "|---|---|---|---|")
        for word in vocabulary.words.values():
            wants = [word.dimension, word.vocabulary and f"word of {word.vocabulary}", word.value]
            bounds = f" ({word.minimum} to {word.maximum})" if word.minimum else ""
            demand = " or ".join(part for part in wants if part) + bounds
            yield _row(f"`{word.name}`", word.broader or "", demand, word.meaning)
    if vocabulary.aliases:
        pairs = ", ".join(f"`{alias}` = {word}" for alias, word in vocabulary.aliases.items())
        yield from ("", f"Also typed: {pairs}.")
    if vocabulary.meanings_are_names:
        yield from ("", "The names themselves may be typed too.")
    if vocabulary.unclear:
        pairs = ", ".join(
            f"`{text}` ({' or '.join(words)})" for text, words in vocabulary.unclear.items()
        )
        yield from ("", f"Refused, because it may mean several of them: {pairs}.")


def _row(*cells: object) -> str:
    return "| " + " | ".join(str(cell).replace("|", "\\|") for cell in cells) + " |"


def _code(text: str) -> str:
    # Invisible characters are spelled out.
    shown = "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text)
    return f"`{shown}`"
