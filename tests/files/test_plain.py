"""Files that are no files, and tables without end: refused at once, in plain words."""

from __future__ import annotations

import csv
import os
import socket
from collections.abc import Iterator
from pathlib import Path

import duckdb
import pytest

import towdb
from tests.helpers.folders import copy_base, read_table
from towdb.contract import frames
from towdb.errors import Finding
from towdb.files import csv_lines
from towdb.files.plain import UnreadableError, open_plain, read_plain
from towdb.reference import folder as folders
from towdb.reference import rules

KINDS = {
    "pipe": "is a named pipe, not a file",
    "device": "is a device, not a file",
    "socket": "is a socket, not a file",
    "folder": "is a folder, not a file",
}


def put(kind: str, place: Path) -> Path:
    match kind:
        case "pipe":
            os.mkfifo(place)
        case "device":
            place.symlink_to("/dev/zero")
        case "socket":
            # A name of a socket has a hundred characters at most.
            here = os.getcwd()
            os.chdir(place.parent)
            with socket.socket(socket.AF_UNIX) as made:
                made.bind(place.name)
            os.chdir(here)
        case _:
            place.mkdir()
    return place


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return copy_base(tmp_path / "reference")


def errors(folder: Path) -> list[Finding]:
    return [finding for finding in towdb.check(folder).found if finding.severity == "error"]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("end", ["csv", "parquet"])
def test_what_is_no_file_is_told_without_waiting(folder: Path, kind: str, end: str) -> None:
    (folder / "coach.csv").unlink()
    put(kind, folder / f"coach.{end}")
    (finding,) = errors(folder)
    assert (finding.file, finding.rule, finding.message) == (f"coach.{end}", "file", KINDS[kind])
    assert finding.remedy == "write its content into a file"


@pytest.mark.parametrize("kind", KINDS)
def test_only_plain_files_are_opened(tmp_path: Path, kind: str) -> None:
    place = put(kind, tmp_path / "it")
    for read in (lambda: open_plain(place), lambda: read_plain(place, 10)):
        with pytest.raises(UnreadableError, match=KINDS[kind]):
            read()


def test_what_takes_the_place_of_a_file_meanwhile_is_not_opened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = tmp_path / "plain"
    plain.touch()
    # As if it were looked at first, and then another were put in its place.
    found = plain.stat()
    pipe = put("pipe", tmp_path / "pipe")
    monkeypatch.setattr(Path, "stat", lambda self: found)
    with pytest.raises(UnreadableError, match="is a named pipe"):
        open_plain(pipe)


def test_a_file_that_says_it_is_empty_and_is_not(tmp_path: Path) -> None:
    with pytest.raises(UnreadableError, match="is larger than 3 bytes"):
        read_plain(Path("/proc/self/status"), 3)
    (tmp_path / "it").write_bytes(b"abcd")
    assert read_plain(tmp_path / "it", 4) == b"abcd"
    with pytest.raises(UnreadableError, match="is larger than 3 bytes"):
        open_plain(tmp_path / "it", 3)


# ---------------------------------------------------------------- tables without end


def source_rows(folder: Path, count: int, **cells: str) -> None:
    """More rows of source, each like the first but for its key and some cells."""
    first = read_table(folder, "source")[0]
    with (folder / "source.csv").open("a", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(first), lineterminator="\n")
        writer.writerows(
            {**first, "source_id": f"more-{n}"} | {c: text.format(n) for c, text in cells.items()}
            for n in range(count)
        )


def test_more_bytes_than_a_table_may_have(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    size = (folder / "source.csv").stat().st_size
    monkeypatch.setattr(folders, "MAX_BYTES", size)
    assert errors(folder) == []
    monkeypatch.setattr(folders, "MAX_BYTES", size - 1)
    found = {finding.file: finding for finding in errors(folder)}
    assert found["source.csv"].rule == "size"
    assert f"is larger than {size - 1:,} bytes" in found["source.csv"].message


@pytest.mark.parametrize("end", ["csv", "parquet"])
def test_more_rows_than_a_table_may_have(
    folder: Path, monkeypatch: pytest.MonkeyPatch, end: str
) -> None:
    source_rows(folder, 300)
    count = len(read_table(folder, "source"))
    if end == "parquet":
        file = folder / "source.csv"
        with duckdb.connect() as con:
            read = f"read_csv('{file}', all_varchar = true, header = true)"
            con.execute(f"COPY (FROM {read}) TO '{file.with_suffix('.parquet')}'")
        file.unlink()
    monkeypatch.setattr(folders, "MAX_ROWS", count)
    assert errors(folder) == []
    monkeypatch.setattr(folders, "MAX_ROWS", count - 1)
    (finding,) = errors(folder)
    assert finding.message == f"has more than {count - 1:,} rows, the most that a table may have"


def test_a_hundred_thousand_columns(folder: Path) -> None:
    for header in ([f"c{n}" for n in range(100_000)], ["title"] * 100_000):
        (folder / "source.csv").write_text(",".join(header) + "\n", "utf-8")
        (finding,) = errors(folder)
        assert finding.message == "a row of 100,000 cells, at most 16,384 are read"


def test_very_many_columns_are_told_once(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []

    def counted(name: str, _: object) -> str:
        asked.append(name)
        return ""

    monkeypatch.setattr(folders, "did_you_mean", counted)
    header = [f"c{n}" for n in range(csv_lines.MAX_COLUMNS)]
    (folder / "source.csv").write_text(",".join(header) + "\n", "utf-8")
    found = errors(folder)
    assert len(found) == folders.MAX_HEADER_FAULTS + 1
    assert len(asked) <= folders.MAX_HEADER_FAULTS + 1
    assert found[-1].message == "and more, of 16,384 columns; source has 21"


def test_one_column_very_often(folder: Path) -> None:
    (folder / "source.csv").write_text(",".join(["title"] * 16_000) + "\n", "utf-8")
    twice = [finding for finding in errors(folder) if "appears twice" in finding.message]
    assert [finding.column for finding in twice] == ["title"]


def test_rows_of_other_widths_end_the_reading(folder: Path) -> None:
    with (folder / "source.csv").open("a", encoding="utf-8") as stream:
        stream.write("a,b\n" * 50_000)
    found = errors(folder)
    assert len(found) == folders.MAX_LISTED
    assert {finding.rule for finding in found} == {"ragged"}
    assert "row number 1,000" in found[-1].message
    assert "no more rows are read" in found[-1].message


def test_a_row_that_does_not_end(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(csv_lines, "MAX_RECORD", 200_000)
    good = (folder / "source.csv").read_bytes()
    # One line, and one row of very many lines.
    for rest in (b"x" * 99 + b"," + b"," * 400_000, b'"\n",' * 100_000):
        (folder / "source.csv").write_bytes(good + rest)
        found = errors(folder)
        assert [f.message for f in found] == ["a row of more than 200,000 bytes"]
        assert found[0].line == good.count(b"\n") + 1


# ---------------------------------------------------------------- faults without end


@pytest.fixture
def few(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    frames.schema.cache_clear()
    monkeypatch.setattr(frames, "MAX_BAD_TEXTS", 20)
    monkeypatch.setattr("towdb.reference.fields.MAX_BAD_TEXTS", 20)
    monkeypatch.setattr(frames, "MAX_LISTED", 50)
    monkeypatch.setattr("towdb.reference.fields.MAX_LISTED", 50)
    yield
    frames.schema.cache_clear()


@pytest.mark.usefixtures("few")
@pytest.mark.parametrize(
    ("cells", "listed"),
    [
        ({"kind": "manuel {}"}, 20),
        ({"kind": "manuel"}, 50),
        ({"issuer": ""}, 50),
    ],
    ids=["bad texts that differ", "one bad text", "required cells that are empty"],
)
def test_faults_without_end_are_listed_so_far(
    folder: Path, cells: dict[str, str], listed: int
) -> None:
    source_rows(folder, 500, **cells)
    found = errors(folder)
    told = [finding for finding in found if finding.rule == "more"]
    assert len(told) == 1
    assert "there are so many faults that" in told[0].message
    assert len(found) - 1 == listed


@pytest.mark.usefixtures("few")
def test_a_few_faults_are_all_told(folder: Path) -> None:
    source_rows(folder, 19, kind="manuel {}")
    source_rows(folder, 40, source_id="again-{}", issuer="")
    found = errors(folder)
    assert [finding.rule for finding in found].count("word") == 19
    assert [finding.rule for finding in found].count("required") == 40
    assert not [finding for finding in found if finding.rule == "more"]


def test_breaches_of_one_rule_are_counted(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rules, "MAX_LISTED", 10)
    source_rows(folder, 25, checked_by="", checked_on="")
    told = [f for f in towdb.check(folder).found if f.rule == "rows_are_checked"]
    assert len(told) == 11
    assert ": 15 more, not listed" in next(f.message for f in told if f.line is None)
