"""A command that is cut short, anywhere, leaves the record as it was before or as it is after."""

from __future__ import annotations

import os
import random
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import datetime, timedelta
from itertools import count, product
from pathlib import Path
from typing import Any

import pytest

from tests.helpers import workers
from tests.helpers.shop import (
    BEGUN,
    DUNYA,
    IMRE,
    Place,
    base_rows,
    coach,
    entered,
    fill,
    with_cells,
    write_folder,
)
from tests.helpers.tier import by_tier
from tests.helpers.workers import (
    CUT_SHORT,
    At,
    Before,
    Cut,
    EndAtFile,
    How,
    Running,
    Said,
    state,
    unjudged,
)
from towdb.errors import UsageError
from towdb.record.export import export, identity_of
from towdb.record.store.record import Record
from towdb.reference.folder import read_folder

# So many commands are killed on each database; `TOWDB_KILLS=200` for a longer look.
KILLS = int(os.environ.get("TOWDB_KILLS", by_tier(quick="12", whole="30")))
LATER = At(BEGUN + timedelta(days=1))
Words = tuple[object, ...]


def moments(statements: int) -> list[int]:
    """The statements at which a command is cut short, by number; the last is among them."""
    return list(range(statements, 0, by_tier(quick=-8, whole=-1)))[::-1]


@contextmanager
def copies(place: Place, url: str) -> Iterator[Any]:
    """Makes copies of a record, which go in the end."""
    with ExitStack() as stack:

        def copied() -> str:
            copy = place.copied(url)
            stack.callback(place.drop, copy)
            return copy

        yield copied


@pytest.fixture
def calls(unchecked_url: str, tmp_path: Path) -> dict[str, Words]:
    """A call of every command that writes, on a record with the base folder, unchecked."""
    rows = with_cells(base_rows(is_checked=False), "coach", "brackwater", note="a second look")
    rows = with_cells(rows, "source", "ticket", title="Weighing of 3 March 2025")
    rows["coach"].append(entered(coach("another")))
    document = tmp_path / "ticket.txt"
    document.write_text("Weighing\n", "utf-8")
    with Record(unchecked_url) as record, record.changing(IMRE, "no hash yet") as changing:
        (ticket,) = (r for r in base_rows(is_checked=False)["source"] if r["source_id"] == "ticket")
        changing.replace("source", [ticket | {"file_sha256": None}])
    statement = ("eligibility", "key")
    return {
        "import": ("import", write_folder(tmp_path / "pages", rows), "--change"),
        "accept": ("review", *statement, "--counts", "6,1,2", "--accept"),
        "return": ("review", *statement, "--return", "look at step 3"),
        "withdraw": ("withdraw", "eligibility", "button", "--why", "new edition", "--yes"),
        "withdraw a source": ("withdraw", "source", "pika-om", "--why", "new edition", "--yes"),
        "attach": ("attach", document, "ticket"),
    }


def run(words: Words, url: str, *before: Before) -> Said:
    return workers.towdb("record", *words, "--record", url, "--as", DUNYA, before=[LATER, *before])


# ---------------------------------------------------------------- at every statement


@pytest.mark.parametrize(
    "name", ["import", "accept", "return", "withdraw", "withdraw a source", "attach"]
)
def test_a_process_that_ends_at_any_statement_leaves_all_or_nothing(
    place: Place, unchecked_url: str, calls: dict[str, Words], name: str
) -> None:
    before = state(unchecked_url)
    with copies(place, unchecked_url) as copied:
        whole = copied()
        done = run(calls[name], whole, unjudged, Cut())
        assert (done.status, done.err) == (0, "")
        after = state(whole)
        assert after != before
        url = copied()
        for at in moments(done.statements):
            assert run(calls[name], url, unjudged, Cut(at)).status == CUT_SHORT
            assert state(url) == before, at
        assert run(calls[name], url, unjudged, Cut(at, "exit after")).status == CUT_SHORT
        # The last statement is the COMMIT.
        assert state(url) == after


# A file has no connection that could be lost.
@pytest.mark.parametrize(
    ("place", "how"),
    [*product(["sqlite", "postgresql"], ["error", "interrupt"]), ("postgresql", "lost")],
    indirect=["place"],
)
@pytest.mark.parametrize("name", ["import", *by_tier(quick=[], whole=["accept", "withdraw"])])
def test_what_goes_wrong_at_any_statement_is_told_and_leaves_all_or_nothing(
    place: Place, unchecked_url: str, calls: dict[str, Words], name: str, how: How
) -> None:
    before = state(unchecked_url)
    with copies(place, unchecked_url) as copied:
        whole = copied()
        done = run(calls[name], whole, unjudged, Cut())
        after = state(whole)
        url = copied()
        for at in moments(done.statements):
            said = run(calls[name], url, unjudged, Cut(at, how, url))
            assert said.status == (130 if how == "interrupt" else 2), (at, said)
            assert said.out == "", (at, said)
            assert [line[:7] for line in said.err.splitlines()] == ["towdb: "], (at, said)
            found = state(url)
            assert found in (before, after), at
            if found == after:
                # Ctrl-C reached it in the COMMIT.
                assert (how, at) == ("interrupt", done.statements)
                url = copied()
        # Whatever went wrong, it goes on.
        assert run(calls[name], url, unjudged).status == 0
        assert state(url) == after


# A file answers where it is.
@pytest.mark.parametrize("place", ["postgresql"], indirect=True)
def test_a_change_of_which_nothing_is_heard_is_not_called_nothing(
    unchecked_url: str, calls: dict[str, Words]
) -> None:
    before = state(unchecked_url)
    for at in range(1, 200):
        said = run(calls["return"], unchecked_url, unjudged, Cut(at, "answer lost"))
        assert said.status == 2, (at, said)
        if state(unchecked_url) != before:
            break
        assert "nothing was changed" in said.err
    assert state(unchecked_url) != before
    assert "nothing was changed" not in said.err


@pytest.mark.parametrize("how", ["exit", "error"])
def test_a_record_that_was_not_begun_to_the_end_is_begun_again(record_url: str, how: How) -> None:
    # Each table is made once it is seen not to be there; what comes after the COMMIT is too late.
    at = 1
    while True:
        said = workers.towdb("record", "init", "--record", record_url, before=[Cut(at, how)])
        assert said.status in (0, CUT_SHORT if how == "exit" else 2), (at, said)
        looked = workers.towdb("record", "history", "--record", record_url)
        if looked.status == 0:
            break
        assert looked.status == 2, (at, looked)
        at += 7
    assert at > 7
    assert state(record_url)["coach"] == []


# ---------------------------------------------------------------- killed at random moments


def span(words: Words, url: str, *before: Before) -> tuple[float, float]:
    """How long a command takes from its beginning, and from where it begins to write."""
    running = Running(*words, "--record", url, before=before)
    assert running.hear() == "begun"
    begun = time.perf_counter()
    assert running.hear() == "writing"
    writing = time.perf_counter()
    assert running.end().status == 0
    ended = time.perf_counter()
    return ended - begun, ended - writing


def kill(
    draw: random.Random, spans: tuple[float, float], words: Words, url: str, *before: Before
) -> bool:
    """Kill a command at a random moment; whether it was still running.

    Most of the time goes into what comes before the first row is written: two times of three it
    is killed while it writes.
    """
    running = Running(*words, "--record", url, before=before)
    assert running.hear() == "begun"
    writes = draw.random() < 0.67
    if writes:
        assert running.hear() == "writing"
    running.process.join(draw.uniform(0, spans[writes] * 1.1))
    running.process.kill()
    running.process.join()
    running.line.close()
    return running.process.exitcode == -9


def many(rows: int, note: str) -> list[dict[str, str | None]]:
    return [entered(coach(f"coach-{n:04}", note=note)) for n in range(rows)]


def kill_often(draw: random.Random, place: Place, record_url: str, words: Words) -> None:
    """Kill a command on copies of a record: each is as before, or as after it."""
    ready = (LATER, workers.tell_of_writing)
    before = state(record_url)
    with copies(place, record_url) as copied:
        whole = copied()
        spans = span(words, whole, *ready)
        after = state(whole)
        identities = {identity(record_url), identity(whole)}
        assert len(identities) == 2
        url, killed = copied(), 0
        for _ in range(KILLS // 3):
            killed += kill(draw, spans, words, url, *ready)
            found = state(url)
            assert found in (before, after)
            assert identity(url) in identities
            if found == after:
                url = copied()
    assert killed


def test_an_import_that_is_killed_leaves_all_or_nothing(
    place: Place, unchecked_url: str, tmp_path: Path
) -> None:
    with Record(unchecked_url) as record:
        fill(record, {"coach": many(1000, "one")})
    folder = write_folder(tmp_path / "pages", {"coach": many(1500, "another")})
    words = ("record", "import", folder, "--change", "--as", DUNYA)
    kill_often(random.Random(1), place, unchecked_url, words)


def test_a_check_that_is_killed_leaves_all_or_nothing(place: Place, unchecked_url: str) -> None:
    rows = base_rows(is_checked=False)
    (limit,) = (row for row in rows["towing_limit"] if row["towing_limit_id"] == "key-speed")
    with Record(unchecked_url) as record:
        fill(record, {"towing_limit": [
            limit | {"towing_limit_id": f"key-speed-{n}"} for n in range(1000)]})  # fmt: skip
    words = ("record", "review", "eligibility", "key", "--counts", "6,1,1002", "--accept", "--as",
             DUNYA)  # fmt: skip
    kill_often(random.Random(2), place, unchecked_url, words)


def identity(url: str) -> str:
    with Record(url) as record:
        return identity_of(record)


# ---------------------------------------------------------------- folders that are written


def files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.fixture
def exported(unchecked_url: str, tmp_path: Path) -> dict[str, dict[str, bytes]]:
    """What an export of change 1, and of the rows now, gives: many cells, and one table more."""
    with Record(unchecked_url) as record:
        with record.changing(IMRE, "all limits out") as changing:
            changing.withdraw("towing_limit", ["key-speed", "key-engine", "button-speed"])
        with record.changing(IMRE, "another title for each") as changing:
            sources = [row | {"title": f"{row['title']} 2"} for row in record.rows()["source"]]
            changing.replace("source", sources)
            changing.add("coach", many(2000, "one"))
        whole = {}
        for as_of in (1, None):
            export(record, tmp_path / f"{as_of}", as_of)
            whole[f"{as_of}"] = files(tmp_path / f"{as_of}")
    assert "towing_limit.csv" not in whole["None"]
    return whole


def whole(folder: Path) -> dict[str, bytes] | None:
    """The folder as it is found; None if it is between two renames, and reports that."""
    if not folder.exists():
        with pytest.raises(UsageError, match="cut short; run it again"):
            read_folder(folder, lambda name: None)
        return None
    return files(folder)


def test_an_export_that_is_killed_leaves_the_old_folder_or_the_new(
    unchecked_url: str, exported: dict[str, dict[str, bytes]], tmp_path: Path
) -> None:
    old, new = exported["1"], exported["None"]
    words = ("record", "export", tmp_path / "out")
    draw = random.Random(3)
    with Record(unchecked_url) as record:
        export(record, tmp_path / "out", 1)
        spans = span(words, unchecked_url, workers.tell_of_writing)
        assert files(tmp_path / "out") == new
        killed = 0
        for _ in range(KILLS - 2 * (KILLS // 3)):
            killed += kill(draw, spans, words, unchecked_url, workers.tell_of_writing)
            assert whole(tmp_path / "out") in (old, new, None)
            export(record, tmp_path / "out", 1)
            assert files(tmp_path / "out") == old
    assert killed


# A folder is written in the same way, wherever its rows come from.
@pytest.mark.whole
@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_an_export_that_ends_at_any_file_leaves_the_old_folder_or_the_new(
    unchecked_url: str, exported: dict[str, dict[str, bytes]], tmp_path: Path
) -> None:
    old, new = exported["1"], exported["None"]
    out = tmp_path / "around" / "out"
    out.parent.mkdir()
    words = ("record", "export", out, "--record", unchecked_url)
    found = []
    with Record(unchecked_url) as record:
        for at in count(1):
            export(record, out, 1)
            assert files(out) == old, at
            assert {path.name for path in out.parent.iterdir()} == {"out"}, at
            if workers.towdb(*words, before=[EndAtFile(at)]).status != CUT_SHORT:
                break
            found.append(whole(out))
    assert files(out) == new
    assert all(each in (old, new, None) for each in found)
    # Each file is opened twice, to be filled and to be written through; each of before is removed.
    assert len(found) > 2 * len(new) + len(old)
    assert None in found
    assert new in found


def test_times_are_those_of_the_clock(unchecked_url: str) -> None:
    # Without it, the states above would differ by the time of day.
    assert datetime.fromisoformat(state(unchecked_url)["change"][0][1][:-1]) == BEGUN
