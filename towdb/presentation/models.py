"""What a coach may pull of everything on record: a line each, suitable ones first."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from towdb.contract.model import contract
from towdb.intake.candidates import ATTRIBUTES
from towdb.presentation.verdicts import governing_check, reason_in_short, to_spare
from towdb.wording import sentences

Record = dict[str, Any]
Car = Mapping[str, str | None]
# Attribute to the words that a line covers; the model year is one of them.
Version = dict[str, frozenset[str]]
_MODEL = ("make", "model")


def model_lines(screening: Record, cars: Sequence[Car], units: str) -> Iterator[str]:
    """A line for all versions of a model with the same answer, under their verdict."""
    alike: defaultdict[tuple[str, str, str], list[Version]] = defaultdict(list)
    known = {car["candidate"]: car for car in cars}
    for candidate in screening["candidates"]:
        car = known[candidate["candidate"]]
        name = " ".join(str(car[part]) for part in _MODEL)
        alike[candidate["verdict"], name, _detail(candidate, units)].append(_version(car))
    lines: defaultdict[str, list[str]] = defaultdict(list)
    merged = {at: _merged(versions) for at, versions in sorted(alike.items())}
    for (verdict, name, detail), versions in merged.items():
        others = [v for (_, model, _), of_one in merged.items() if model == name for v in of_one]
        for version in versions:
            lines[verdict].append(f"{_name(name, version, others)}: {detail}")
    for verdict in ("suitable", "undetermined", "not_suitable"):
        yield f"{sentences.VERDICTS[verdict]}: {len(lines[verdict]) or 'none'}"
        yield from (f"  {line}" for line in sorted(lines[verdict]))
    yield sentences.PAGES_OF_MODELS


def named(screening: Record, cars: Sequence[Car]) -> Record:
    """The same screening with each version called as a person calls it, not by its id."""
    models: defaultdict[str, list[Version]] = defaultdict(list)
    for car in cars:
        models[" ".join(str(car[part]) for part in _MODEL)].append(_version(car))
    names = {
        car["candidate"]: _name(model, _version(car), models[model])
        for car in cars
        for model in (" ".join(str(car[part]) for part in _MODEL),)
    }
    candidates = [{**c, "candidate": names[c["candidate"]]} for c in screening["candidates"]]
    return {**screening, "candidates": candidates}


def _version(car: Car) -> Version:
    left_out = ("candidate", *_MODEL)
    return {
        name: frozenset({cell} if cell else ())
        for name, cell in car.items()
        if name not in left_out
    }


def _merged(versions: list[Version]) -> list[Version]:
    """The same versions in fewer: where one attribute alone differs, one with either word."""
    for name in reversed(versions[0]):
        alike: defaultdict[tuple[frozenset[str], ...], list[Version]] = defaultdict(list)
        for version in versions:
            # An open attribute is not a word of its own.
            rest = (cell for other, cell in version.items() if other != name)
            alike[(*rest, frozenset({""} if version[name] else ()))].append(version)
        versions = [
            {**of_one[0], name: frozenset[str]().union(*(version[name] for version in of_one))}
            for of_one in alike.values()
        ]
    return versions


def _name(model: str, version: Version, others: Iterable[Version]) -> str:
    """Make, model and years, and the words that distinguish it from others of the model."""
    known = list(others)
    parts = [
        _words(name, cell)
        for name, cell in version.items()
        if name != "model_year" and cell and any(other[name] != cell for other in known)
    ]
    return ", ".join([f"{model} {_runs(version['model_year'])}", *parts])


def _words(attribute: str, cell: frozenset[str]) -> str:
    vocabularies = contract().vocabularies
    words = " or ".join(sorted(word.replace("_", " ") for word in cell))
    closed = [name for name in ATTRIBUTES if name in vocabularies]
    # "none" and "electric" mean nothing without their attribute.
    is_shared = "none" in cell or any(
        word in vocabularies[name].words for word in cell for name in closed if name != attribute
    )
    return f"{attribute.replace('_', ' ')} {words}" if is_shared else words


def _runs(years: Iterable[str]) -> str:
    """Model years in few words: 2018, 2020-2022."""
    runs: list[list[int]] = []
    for year in sorted(map(int, years)):
        if runs and year == runs[-1][-1] + 1:
            runs[-1].append(year)
        else:
            runs.append([year])
    return ", ".join(f"{run[0]}-{run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs)


def _detail(candidate: Record, units: str) -> str:
    check, margin = governing_check(candidate), to_spare(candidate, units)
    if margin:
        return f"{margin} ({sentences.CHECKS[check.check]})"
    return sentences.REASONS_IN_SHORT.get(check.reason) or reason_in_short(candidate, units)
