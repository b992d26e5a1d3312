"""What is no CSV in UTF-8 with a header is told as what it is, in folders and in shortlists."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.folders import copy_base
from towdb.errors import UsageError
from towdb.files.first_bytes import not_utf8

TABLE = "coach_id,name\nbrackwater-38,Bräckwäter 38\n"
CARS = "candidate,make,model\na,Quillon,Märlet\n"
COMPOUND = bytes.fromhex("d0cf11e0a1b11ae1") + bytes(600)
IN_WINDOWS = "not UTF-8: the byte 0xe4 is 'ä' in Windows-1252"

# What is made of a text, and what is then told of it.
KINDS: dict[str, tuple[Callable[[str], bytes], str]] = {
    "old workbook": (lambda text: COMPOUND, "is a workbook of an older kind (.xls)"),
    "packed": (lambda text: b"PK\x03\x04" + bytes(60), "is a workbook or a packed file"),
    "page of a web site": (lambda text: b"<html><table>", "is a page of HTML or XML, not CSV"),
    "XML": (lambda text: b'\xef\xbb\xbf<?xml version="1.0"?>', "is a page of HTML or XML"),
    "PDF": (lambda text: b"%PDF-1.7\n", "is a PDF"),
    "Windows-1252": (lambda text: text.encode("cp1252"), IN_WINDOWS),
    "UTF-16": (lambda text: text.encode("utf-16"), "is UTF-16, not UTF-8"),
    "UTF-16, no mark": (lambda text: text.encode("utf-16-le"), "is UTF-16, not UTF-8"),
    "UTF-16, turned": (lambda text: text.encode("utf-16-be"), "is UTF-16, not UTF-8"),
    "UTF-32": (lambda text: text.encode("utf-32"), "is UTF-32, not UTF-8"),
    "bytes": (lambda text: b"a\0b\xff\xfe\0\xc0", "it is not text"),
    "tabs": (lambda text: text.replace(",", "\t").encode(), "its cells are separated by tabs"),
    "bars": (lambda text: text.replace(",", "|").encode(), "are separated by vertical bars"),
    "separator named": (lambda text: f"sep=,\n{text}".encode(), "line 1 only names the separator"),
}
REMEDIES = {
    "old workbook": "save its sheet as CSV UTF-8",
    "Windows-1252": "save the file as UTF-8",
    "UTF-16": "save the file as UTF-8",
    "tabs": "save it as CSV, separated by commas",
    "separator named": "delete this line",
}


def of_folder(tmp_path: Path, content: bytes, name: str = "coach.csv") -> tuple[str, str]:
    folder = copy_base(tmp_path / "reference")
    (folder / "coach.csv").unlink()
    (folder / name).write_bytes(content)
    (finding,) = (f for f in towdb.check(folder).found if f.severity == "error")
    assert finding.file == name
    return finding.message, finding.remedy


def of_shortlist(tmp_path: Path, content: bytes, release: Path, **more: object) -> str:
    (tmp_path / "cars.csv").write_bytes(content)
    with pytest.raises(UsageError) as refused:
        towdb.screen(
            tmp_path / "cars.csv", coach=DEMO / "coach.toml", reference=release,
            mapping=more or None,
        )  # fmt: skip
    (line,) = str(refused.value).splitlines()
    return line


@pytest.mark.parametrize("kind", KINDS)
def test_a_table_that_is_something_else(tmp_path: Path, kind: str) -> None:
    make, says = KINDS[kind]
    message, remedy = of_folder(tmp_path, make(TABLE))
    assert says in message
    assert REMEDIES.get(kind, "") in remedy


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("mapped", [False, True])
def test_a_shortlist_that_is_something_else(
    tmp_path: Path, demo_release: Path, kind: str, mapped: bool
) -> None:
    make, says = KINDS[kind]
    mapping = {"columns": {"their make": "make"}} if mapped else {}
    line = of_shortlist(tmp_path, make(CARS), demo_release, **mapping)
    assert says in line
    assert "cars.csv" in line
    assert REMEDIES.get(kind, "") in line


def test_a_table_separated_by_semicolons(tmp_path: Path) -> None:
    message, remedy = of_folder(tmp_path, TABLE.replace(",", ";").encode())
    assert message == "its cells are separated by semicolons"
    assert remedy == "save it as CSV, separated by commas"


def test_no_header(tmp_path: Path, demo_release: Path) -> None:
    message, remedy = of_folder(tmp_path, b"brackwater-38,Brackwater,2019\n")
    assert message == "line 1 is a row, not the names of columns"
    assert remedy.startswith("put a line with the names above it: coach_id, name, ")
    for row in (b"a,Quillon,Marlet,2021", b"a;Quillon;4,400 lb", b"1GNFK13027R100001,x,y"):
        line = of_shortlist(tmp_path, row + b"\n", demo_release)
        assert "cars.csv, line 1: line 1 is a row, not the names of columns" in line
        assert "put a line with the names above it: candidate, make, " in line


def test_headers_in_other_words_are_told_one_by_one(tmp_path: Path, demo_release: Path) -> None:
    line = of_shortlist(tmp_path, b"Marke\nQuillon\n", demo_release)
    assert "unknown column 'Marke'" in line


@pytest.mark.parametrize("end", ["xls", "xlsx", "ods", "tsv"])
def test_a_table_in_a_file_that_is_not_read(tmp_path: Path, end: str) -> None:
    message, remedy = of_folder(tmp_path, b"x", f"coach.{end}")
    assert message == f"a table of the contract, but .{end} files are not read"
    assert remedy == "save it as coach.csv, in UTF-8 and separated by commas"


def test_a_workbook_beside_its_table_is_left_aside(tmp_path: Path) -> None:
    folder = copy_base(tmp_path / "reference")
    (folder / "coach.xlsx").touch()
    found = towdb.check(folder)
    assert found.ok
    assert found.ignored == ("coach.xlsx",)


def test_a_byte_that_windows_does_not_know_either() -> None:
    assert not_utf8(b"a\x81b") == "not UTF-8: it is not text, or text in a very rare encoding"
