"""A file is filled beside its place and put there once it is whole; leftovers are removed."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path

from towdb.errors import UsageError

# The name of a file while it is filled; its number shows whether the process has ended.
WRITING = re.compile(r"\.towdb-(\d{1,9})-[0-9a-f]{8}\.writing")


def check_place(output: Path) -> None:
    """Check that a file can be put there, before its content is worked out.

    Raises
    ------
    UsageError
        If a folder or a read-only file is there, or its folder does not exist.
    """
    if output.is_dir():
        raise UsageError(f"{output}: is a folder; name a file in it")
    # An existing file that may not be written to is not ours to replace.
    if output.exists() and not os.access(output, os.W_OK):
        raise UsageError(f"{output}: cannot be written (it is read-only)")
    if not output.parent.is_dir():
        raise UsageError(f"{output}: cannot be written (its folder does not exist); create it")


def replace(output: Path, fill: Callable[[Path], None]) -> None:
    """Have a file filled beside its place, and put it there once it is whole.

    Raises
    ------
    UsageError
        If the file cannot be written; what was there stays.
    """
    # Short: a name as long as names may be has no room for more.
    beside = output.with_name(f".towdb-{os.getpid()}-{os.urandom(4).hex()}.writing")
    try:
        check_place(output)
        fill(beside)
        with beside.open("rb+") as stream:
            os.fsync(stream.fileno())
        beside.replace(output)
    except OSError as error:
        raise UsageError(f"{output}: cannot be written ({error.strerror})") from None
    finally:
        with suppress(OSError):
            beside.unlink(missing_ok=True)


def sync_folder(folder: Path) -> None:
    """Write the names in a folder to the disk: a rename must survive a power cut, too."""
    # Not every system can open a folder.
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def remove_left(files: Iterable[Path], own: re.Pattern[str]) -> None:
    """Remove what processes that have ended left behind.

    Parameters
    ----------
    files : iterable of Path
        Where to look.
    own : Pattern
        The names of such files; its first group is the number of the process.
    """
    for left in files:
        match = own.fullmatch(left.name)
        if match and not _is_running(int(match[1])):
            with suppress(OSError):
                if left.is_dir():
                    shutil.rmtree(left, ignore_errors=True)
                else:
                    left.unlink(missing_ok=True)


def _is_running(process: int) -> bool:
    if os.name != "posix":
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        pass
    return True
