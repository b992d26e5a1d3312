"""The one place where files that people name are opened: plain files, of a bounded size.

A named pipe waits for ever for somebody to write, and a device such as ``/dev/zero`` never ends.
"""

from __future__ import annotations

import os
import stat
from pathlib import Path
from typing import BinaryIO

_KINDS = {
    stat.S_IFDIR: "a folder",
    stat.S_IFIFO: "a named pipe",
    stat.S_IFCHR: "a device",
    stat.S_IFBLK: "a device",
    stat.S_IFSOCK: "a socket",
}
# Windows knows neither, and Linux has no text mode.
_FLAGS = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


class UnreadableError(Exception):
    """A file that cannot be read: the rule, what is wrong, what to do, and where."""

    def __init__(self, rule: str, message: str, remedy: str, line: int | None = None) -> None:
        super().__init__(rule, message, remedy, line)


def open_plain(path: Path, most_bytes: int | None = None) -> BinaryIO:
    """Open a plain file for reading.

    Parameters
    ----------
    path : Path
        The file; a link is followed.
    most_bytes : int, optional
        How large it may be.

    Raises
    ------
    UnreadableError
        If it is a pipe, device, socket or folder, is larger, or cannot be read.
    """
    try:
        # Before it is opened: to open a device may already do something.
        _require_plain(path.stat())
        descriptor = os.open(path, _FLAGS)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not one that a file can have"
        message = f"cannot be read: {reason}"
        raise UnreadableError("file", message, "make it a readable file") from None
    try:
        # And after: another may have been put in its place meanwhile.
        found = os.fstat(descriptor)
        _require_plain(found)
        if most_bytes is not None and found.st_size > most_bytes:
            raise _too_large(most_bytes)
    except BaseException:
        os.close(descriptor)
        raise
    return os.fdopen(descriptor, "rb")


def read_plain(path: Path, most_bytes: int) -> bytes:
    """The content of a plain file.

    Raises
    ------
    UnreadableError
        If it is a pipe, device, socket or folder, is larger, or cannot be read.
    """
    with open_plain(path, most_bytes) as stream:
        try:
            # One more than allowed: some files claim to be empty, and are not.
            content = stream.read(most_bytes + 1)
        except OSError as error:
            message = f"cannot be read: {error.strerror}"
            raise UnreadableError("file", message, "make it a readable file") from None
    if len(content) > most_bytes:
        raise _too_large(most_bytes)
    return content


def _require_plain(found: os.stat_result) -> None:
    if not stat.S_ISREG(found.st_mode):
        kind = _KINDS.get(stat.S_IFMT(found.st_mode), "something else")
        raise UnreadableError("file", f"is {kind}, not a file", "write its content into a file")


def _too_large(most_bytes: int) -> UnreadableError:
    bound = (
        f"{most_bytes // 1_000_000:,} MB" if most_bytes >= 1_000_000 else f"{most_bytes:,} bytes"
    )
    return UnreadableError(
        "size",
        f"is larger than {bound}, the most that such a file may have",
        "check that it is the right file, and remove what does not belong there",
    )
