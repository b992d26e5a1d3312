"""Commands on what was told to whom."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from towdb.cli.options import FILE, FORMATS, deliver_rows, output_options
from towdb.cli.record.options import counted, opened, record_option
from towdb.errors import UsageError

if TYPE_CHECKING:
    from towdb.record.answers import Issued, Replay, Turn

_TURN = ("candidate", "coach", "before", "after", "why")


@click.command()
@click.argument("number", type=int, required=False)
@record_option
@output_options
def replay(number: int | None, url: str | None, format: str | None, output: Path | None) -> int:
    """List the answers that were given; or give one again, by what stood then and stands today.

    Exit status 1 if the release of that day no longer gives the same answer.

    \b
    Example: towdb record replay 3 --record shop.sqlite
    """
    import tempfile

    from towdb.record import answers as run
    from towdb.report import rows as report
    from towdb.report.output import choose_format, deliver

    chosen = choose_format(format, output, FORMATS)
    with opened(url) as record:
        if number is None:
            listed = [
                (a.number, a.at, a.who, a.issued_to, a.on_date, a.release_id[:12], a.towdb_version)
                for a in run.answers(record)
            ]
            columns = ("answer", "at", "who", "issued_to", "on", "release", "towdb_version")
            deliver_rows(columns, listed, chosen, output)
            return 0
        with tempfile.TemporaryDirectory(prefix="towdb-") as folder:
            replayed = run.replay(record, number, folder)
    if chosen == "table":
        deliver(lambda out: report.write_lines(_replayed(replayed), out), output)
    else:
        deliver_rows(_TURN, _turn_rows(replayed.turns), chosen, output)
    return 0 if replayed.is_same else 1


def _replayed(replayed: Replay) -> Iterator[str]:
    told = replayed.issued
    yield (
        f"answer {told.number}, told to {told.issued_to} by {told.who} on {told.at[:10]},"
        f" by release {told.release_id[:12]}"
    )
    same = "the same answer" if replayed.is_same else "ANOTHER answer"
    yield f"The release of that day gives {same} by this towdb."
    lines = list(turn_lines(replayed.turns))
    yield "Today it would be otherwise for:" if lines else "Today it would be the same."
    yield from (f"  {line}" for line in lines)


@click.command()
@click.argument("releases", nargs=-1, required=True, metavar="[BEFORE] AFTER", type=FILE)
@record_option
@output_options
def affected(
    releases: tuple[Path, ...], url: str | None, format: str | None, output: Path | None
) -> None:
    """List the answers of which a release says something else: whom to call.

    With two releases, those that differ between them; else what differs from what was told.

    \b
    Example: towdb record affected new.duckdb --record shop.sqlite
    """
    from towdb.record.answers import affected as run
    from towdb.report import rows as report
    from towdb.report.output import choose_format, deliver

    if len(releases) > 2:
        raise UsageError("name one release, or the one before and the one after")
    *before, after = releases
    chosen = choose_format(format, output, FORMATS)
    with opened(url) as record:
        found = list(run(record, after, before[0] if before else None))
    if chosen == "table":
        deliver(lambda out: report.write_lines(_calls(found), out), output)
        return
    rows = [
        (issued.number, issued.issued_to, issued.at[:10], *row)
        for issued, turns in found
        for row in _turn_rows(turns)
    ]
    deliver_rows(("answer", "issued_to", "at", *_TURN), rows, chosen, output)


def _calls(found: Sequence[tuple[Issued, Sequence[Turn]]]) -> Iterator[str]:
    for issued, turns in found:
        yield f"answer {issued.number}, told to {issued.issued_to} on {issued.at[:10]}"
        yield from (f"  {line}" for line in turn_lines(turns))
    yield f"{counted(len(found), 'answer')} would be given otherwise now"


def turn_lines(turns: Iterable[Turn]) -> Iterator[str]:
    """What is said otherwise, a line a car."""
    from towdb.wording import sentences

    for turn in turns:
        before, after = (
            sentences.VERDICTS.get(v or "", "nothing") for v in (turn.before, turn.after)
        )
        change = before if before == after else f"{before} -> {after}"
        yield f"{turn.candidate} behind {turn.coach}: {change} ({'; '.join(turn.why)})"


def _turn_rows(turns: Iterable[Turn]) -> list[tuple[object, ...]]:
    return [(t.candidate, t.coach, t.before, t.after, "; ".join(t.why)) for t in turns]
