"""The command line: parses, calls the verb, prints; exit status as documented, no traceback."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable

import click

from towdb import __version__
from towdb.cli.describe import describe
from towdb.cli.reference import build, check, sql
from towdb.cli.release import demo, diff
from towdb.cli.screening import screen
from towdb.cli.show import show
from towdb.errors import DataError, TowdbError

INTERRUPTED = 130
COMMANDS = (demo, check, build, screen, show, sql, describe, diff)


class _InterruptedError(Exception):
    """Ctrl-C: click itself would answer with an empty line."""


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
    """Say which cars a motorhome may tow with all four wheels on the road, and on which page.

    An answer is a row of a reference; a row names the page it came from and who checked it.
    """


for _command in COMMANDS:
    app.add_command(_command)


def main() -> None:
    """Run the command line; exit status as documented, never a traceback."""
    status = _status(app)
    if status == INTERRUPTED:
        # Python would end by a signal of its own where Ctrl-C had come in the middle of an import.
        sys.stderr.flush()
        os._exit(status)
    sys.exit(status)


def _status(run: Callable[..., object]) -> int:
    try:
        return _run(run)
    except (SystemExit, BrokenPipeError):
        # Whoever read the output has seen enough; nothing more may be flushed there.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


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
    except (_InterruptedError, click.Abort, KeyboardInterrupt):
        return _interrupted()
    except RuntimeError as error:
        # How a query says that Ctrl-C reached it.
        if "interrupted" not in str(error).lower():
            raise
        return _interrupted()
    return done if isinstance(done, int) else 0


def _interrupted() -> int:
    _complain("interrupted; nothing was written")
    return INTERRUPTED


def _complain(text: str) -> None:
    from towdb.report.rows import printable

    for line in text.splitlines():
        print(f"towdb: {printable(line)}", file=sys.stderr)
