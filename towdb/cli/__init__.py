"""The command line: parses, calls the verb, prints; exit status as documented, no traceback."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable

import click

from towdb.cli.describe import describe
from towdb.cli.gaps import gaps
from towdb.cli.guide import guide
from towdb.cli.inventory import inventory
from towdb.cli.record import record
from towdb.cli.reference import build, check, sql
from towdb.cli.release import demo, diff
from towdb.cli.screening import screen
from towdb.cli.show import show
from towdb.cli.weights import weights
from towdb.errors import DataError, TowdbError
from towdb.version import __version__

INTERRUPTED = 130
COMMANDS = (
    *(demo, check, build, screen, weights, gaps, inventory),
    *(show, sql, describe, diff, record, guide),
)


class _InterruptedError(Exception):
    """Ctrl-C: click itself would print an empty line."""


class _Commands(click.Group):
    def invoke(self, ctx: click.Context) -> object:
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            raise _InterruptedError from None


@click.group(
    cls=_Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(__version__, message="towdb %(version)s")
def app() -> None:
    """Find which cars a motorhome may tow with all four wheels on the road, and on which page.

    An answer is a row of a reference; a row names the page it came from and who checked it.
    """


for _command in COMMANDS:
    app.add_command(_command)


def main() -> None:
    """Run the command line; exit status as documented, never a traceback."""
    status = _status(app)
    if status == INTERRUPTED:
        # Python would end with a signal of its own if Ctrl-C had come during an import.
        sys.stderr.flush()
        os._exit(status)
    sys.exit(status)


def _status(run: Callable[..., object]) -> int:
    # A name that is not text, of a file or from a page, is shown as its bytes.
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    if sys.stdout is None:
        _complain("standard output is closed; open it")
        return 2
    try:
        status = _run(run)
        sys.stdout.flush()
        return status
    except (SystemExit, BrokenPipeError):
        # The program that read the output has stopped reading.
        _send_nothing_more()
        return 0
    except OSError as error:
        _send_nothing_more()
        _complain(f"standard output cannot be written ({error.strerror})")
        return 2


def _send_nothing_more() -> None:
    # What is still to be flushed at the end must not fail again.
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _run(run: Callable[..., object]) -> int:
    try:
        done = run(prog_name="towdb", standalone_mode=False)
    except DataError as error:
        _complain(str(error))
        return 1
    except TowdbError as error:
        _complain(str(error))
        return 2
    except click.exceptions.NoArgsIsHelpError as error:
        print(error.format_message())
        return 2
    except click.ClickException as error:
        _complain(f"{error.format_message()} Try: towdb --help")
        return 2
    except OSError as error:
        if error.filename is None:
            raise
        _complain(f"{error.filename}: {error.strerror}; look at the path and the disk")
        return 2
    except (_InterruptedError, click.Abort, KeyboardInterrupt):
        return _interrupted()
    except (RuntimeError, ImportError) as error:
        # How a query reports Ctrl-C, and how a library does that was being loaded.
        is_hit = isinstance(error.__cause__, KeyboardInterrupt)
        if not is_hit and "interrupted" not in str(error).lower():
            raise
        return _interrupted()
    return done if isinstance(done, int) else 0


def _interrupted() -> int:
    _complain("interrupted; no file was left half written")
    return INTERRUPTED


def _complain(text: str) -> None:
    from towdb.report.text import printable

    if sys.stderr is None:
        return
    for line in text.splitlines():
        print(f"towdb: {printable(line)}", file=sys.stderr)
