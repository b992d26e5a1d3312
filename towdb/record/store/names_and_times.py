"""Who, why and when, as people type them and as the record keeps them."""

from __future__ import annotations

import datetime
from unicodedata import normalize

from towdb.contract.grammar import fold
from towdb.errors import UsageError
from towdb.invisible import has_unseen


def read_moment(text: str) -> str:
    """The last instant that a time or a day means, in UTC, as the record writes it.

    Raises
    ------
    UsageError
        If the text is not a time.
    """
    try:
        read = datetime.datetime.fromisoformat(text.strip())
        if read.tzinfo is not None:
            read = read.astimezone(datetime.UTC).replace(tzinfo=None)
    except (ValueError, OverflowError):
        raise UsageError(
            f"--as-of {text[:40]}: neither the number of a change nor a time;"
            " write it like 12, 2026-01-31 or 2026-01-31T15:30Z"
        ) from None
    if _is_day(text.strip()):
        read += datetime.timedelta(days=1) - datetime.timedelta(microseconds=1)
    return read.isoformat(timespec="microseconds") + "Z"


def _is_day(text: str) -> bool:
    try:
        datetime.date.fromisoformat(text)
    except ValueError:
        return False
    return True


def reason(why: str) -> str:
    """The reason, without the character that databases cannot keep."""
    return why.replace("\0", " ").strip()


def person_name(who: str | None) -> str:
    """A person's name as it is kept, however it was typed.

    Raises
    ------
    UsageError
        If it is not a name.
    """
    # One letter may be typed as two characters.
    name = normalize("NFC", " ".join((who or "").split()))
    if not name or has_unseen(name) or len(name) > 80:
        raise UsageError(
            "your name is missing or cannot be used; give it with --as NAME or TOWDB_USER=NAME"
        )
    return name


def same_person(one: str | None, other: str | None) -> bool:
    """Whether two names are the same person's, however they were typed."""
    return one is not None and other is not None and fold(one) == fold(other)
