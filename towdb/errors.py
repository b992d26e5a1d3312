"""What can go wrong: the exception tree, and `Finding`, the one record of a fault in data."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator
from dataclasses import asdict, astuple, dataclass, fields
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pandas as pd


class TowdbError(Exception):
    """Anything towdb refuses to do; the message states what is wrong and what to do."""


class UsageError(TowdbError):
    """The call is wrong, or an input that is not itself checked cannot be used (exit status 2)."""


class DataError(TowdbError):
    """The data that a command checks has errors (exit status 1)."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One fault in data, where it is and what to do about it.

    Attributes
    ----------
    file : str
        Name of the file.
    line : int or None
        First physical line of the record, the header being 1.
    table, key, column, value : str or None
        The cell that is wrong; ``None`` where the fault is of a whole file or row.
    rule : str
        Name of the rule that it breaks.
    severity : str
        ``error`` or ``warning``.
    message, remedy : str
        What is wrong, and what to do.
    """

    file: str
    line: int | None
    table: str | None
    key: str | None
    column: str | None
    value: str | None
    rule: str
    severity: str
    message: str
    remedy: str


FINDING_COLUMNS = tuple(field.name for field in fields(Finding))


def findings_document(found: Iterable[Finding]) -> Iterator[dict[str, Any]]:
    """Findings as objects for JSON, one by one."""
    return map(asdict, found)


def findings_frame(found: Iterable[Finding]) -> pd.DataFrame:
    """Findings as a frame of ten columns, one row each."""
    import pandas as pd

    frame = pd.DataFrame([astuple(each) for each in found], columns=list(FINDING_COLUMNS))
    return frame.astype({c: "Int64" if c == "line" else "str" for c in FINDING_COLUMNS})


def failure(name: str, errors: str, first: Finding) -> DataError:
    """The exception for data with so many errors, naming the first of them."""
    place = first.file + (f", line {first.line}" if first.line else "")
    column = f", {first.column}" if first.column else ""
    return DataError(
        f"{name} has {errors} error(s); the first: {place}{column}: {first.message}; {first.remedy}"
    )


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name that `name` most resembles, if any does."""
    by_fold = {candidate.casefold(): candidate for candidate in known}
    close = difflib.get_close_matches(name.casefold()[:200], by_fold, n=1, cutoff=0.6)
    return by_fold[close[0]] if close else None


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """A clause that names the nearest known name, or nothing."""
    close = nearest(name, known)
    return f"; did you mean {close}?" if close else ""
