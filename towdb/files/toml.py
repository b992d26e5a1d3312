"""Coach, policy and mapping files: TOML that people write."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from towdb.errors import UsageError
from towdb.files.plain import UnreadableError, read_plain

# A mapping of twenty thousand words has half of it.
MAX_TOML = 1_000_000
# A key of many thousand parts takes minutes to read.
_MOST_DOTS = 1_000
# TOML 1.0.0, section Integer: 64 bits, and what does not fit has to be refused.
_LEAST, _MOST = -(2**63), 2**63 - 1
_LONG = re.compile(r"(?<![\w.])[+-]?[0-9][0-9_]{19,}(?![\w.])|0[xob][0-9A-Fa-f_]{17,}")


def read_toml(path: Path, what: str) -> dict[str, Any]:
    """The content of a TOML file.

    Raises
    ------
    UsageError
        If it cannot be read.
    """
    text = _text(path, what)
    for number, line in enumerate(text.split("\n"), start=1):
        if line.count(".") > _MOST_DOTS:
            raise UsageError(
                f"{path}, line {number}: the {what} has more than {_MOST_DOTS:,} full stops in one"
                " line; check that it is the right file"
            )
    try:
        entry = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise UsageError(f"{path}: the {what} is not TOML: {str(error)[:160]}") from None
    except ValueError:
        # Only a number of more than some thousand digits, which Python refuses, ends here.
        raise _too_long(path, what, text) from None
    if any(not _LEAST <= number <= _MOST for number in _integers(entry)):
        raise _too_long(path, what, text)
    return entry


def _text(path: Path, what: str) -> str:
    try:
        return read_plain(path, MAX_TOML).decode("utf-8-sig")
    except UnreadableError as error:
        _, message, remedy, _ = error.args
        if message.startswith("cannot be read: "):
            reason = message.partition(": ")[2]
            raise UsageError(f"{path}: the {what} cannot be read ({reason})") from None
        raise UsageError(f"{path}: the {what} {message}; {remedy}") from None
    except UnicodeDecodeError:
        raise UsageError(f"{path}: the {what} is not text in UTF-8; save it as such") from None


def _integers(value: Any) -> Iterator[int]:
    # Without recursion: dotted keys nest deeper than a call may.
    rest = [value]
    while rest:
        value = rest.pop()
        if isinstance(value, int):
            yield value
        elif isinstance(value, (dict, list)):
            rest += value.values() if isinstance(value, dict) else value


def _too_long(path: Path, what: str, text: str) -> UsageError:
    match = _LONG.search(text)
    place = f", line {text.count(chr(10), 0, match.start()) + 1}" if match else ""
    return UsageError(
        f"{path}{place}: the {what} has a whole number of more than 64 bits, the most that TOML"
        " allows; correct it, or write text in quotes"
    )
