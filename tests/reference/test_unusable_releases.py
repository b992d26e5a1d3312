"""A file that is no usable release is refused in one line that says what to do."""

from __future__ import annotations

import os
import shutil
import struct
from collections.abc import Callable
from pathlib import Path

import duckdb
import pandas as pd
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.typist import Typist, answered, screened, typist_in
from towdb.reference.digests import over_all, recorded

HEADER = 4096


@pytest.fixture
def typist(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Typist:
    return typist_in(tmp_path, capsys, monkeypatch)


def edited(path: Path, *statements: str) -> None:
    with duckdb.connect(str(path)) as con:
        for statement in statements:
            con.execute(statement)


def foreign(path: Path) -> None:
    path.unlink()
    edited(path, "create table stock as select 1 as x")


def other_schema(path: Path) -> None:
    path.unlink()
    edited(path, "create schema towdb_data", "create table towdb_data.release as select 1 as x")


def stamped(column: str, value: str) -> Callable[[Path], None]:
    return lambda path: edited(path, f"update towdb_data.release set {column} = {value}")


def sealed(path: Path) -> None:
    """As a build would leave what the release says of itself and of its tables."""
    with duckdb.connect(str(path)) as con:
        about = con.execute(
            "select release_id, contract_version, towdb_version, invented from towdb_data.release"
        ).fetchall()
        seal = over_all(about[0], recorded(con, path.stem))
        con.execute("update towdb_data.release set digest = $1", [seal])


def folder(path: Path) -> None:
    path.unlink()
    path.mkdir()


def overwritten(path: Path) -> None:
    with path.open("r+b") as stream:
        stream.seek(HEADER)
        stream.write(b"\x5a" * 2 * HEADER)


def checksum(block: bytes | bytearray) -> int:
    """As the storage format of DuckDB defines it."""
    result = 5381
    for (word,) in struct.iter_unpack("<Q", block):
        result ^= word * 0xBF58476D1CE4E5B9 % 2**64
    return result


def newer(path: Path) -> None:
    """As a DuckDB would write that does not exist yet."""
    with path.open("r+b") as stream:
        header = bytearray(stream.read(HEADER))
        assert header[8:12] == b"DUCK"
        assert struct.unpack_from("<Q", header)[0] == checksum(header[8:])
        struct.pack_into("<Q", header, 12, 100)
        struct.pack_into("<Q", header, 0, checksum(header[8:]))
        stream.seek(0)
        stream.write(header)


BUILD = "towdb build"
UNUSABLE: dict[str, tuple[Callable[[Path], object], str]] = {
    "missing": (Path.unlink, BUILD),
    "folder": (folder, BUILD),
    "empty": (lambda path: os.truncate(path, 0), BUILD),
    "text": (lambda path: path.write_text("release\n" * 2000, "utf-8"), BUILD),
    "foreign": (foreign, BUILD),
    "another towdb_data": (other_schema, BUILD),
    "cut in the first header": (lambda path: os.truncate(path, 100), BUILD),
    "cut behind the headers": (lambda path: os.truncate(path, 3 * HEADER), BUILD),
    "cut in the middle": (lambda path: os.truncate(path, path.stat().st_size // 2), BUILD),
    "overwritten": (overwritten, BUILD),
    "no stamp": (lambda path: edited(path, "delete from towdb_data.release"), BUILD),
    "empty stamp": (stamped("contract_version", "null"), "build the release again"),
    "stamp of another release": (stamped("release_id", "'0'"), "was changed after it was built"),
    "contract 2.0": (stamped("contract_version", "'2.0'"), "use a towdb of that version"),
    "newer DuckDB": (newer, "newer DuckDB"),
}


@pytest.mark.parametrize("kind", UNUSABLE)
def test_what_is_no_usable_release(typist: Typist, demo_release: Path, kind: str) -> None:
    spoil, says = UNUSABLE[kind]
    path = Path(shutil.copy(demo_release, typist.folder / "r.duckdb"))
    spoil(path)
    for call in (
        ("sql", "select 1"),
        ("sql", "select 1", "--table", "stock=stock.csv"),
        ("screen", DEMO / "shortlist.csv", "--coach", DEMO / "coach.toml", "--sql", "select 1"),
        ("screen", "--years", "2021", "--coach", DEMO / "coach.toml"),
        ("show", "Quillon"),
    ):
        said = typist.refused(*call, "--reference", "r.duckdb")
        assert says in said
        assert said.startswith("r.duckdb: ")
    for pair in (("r.duckdb", demo_release), (demo_release, "r.duckdb")):
        assert says in typist.refused("diff", *pair)
    with pytest.raises(towdb.UsageError, match=says):
        towdb.open(path)


def test_a_release_of_a_later_minor_contract_is_read(typist: Typist, demo_release: Path) -> None:
    path = Path(shutil.copy(demo_release, typist.folder / "r.duckdb"))
    stamped("contract_version", "'1.99'")(path)
    sealed(path)
    assert "1.99" in typist.good("sql", "select * from release", "--reference", "r.duckdb")


@pytest.mark.parametrize("spoil", [Path.unlink, lambda path: os.truncate(path, 5 * HEADER)])
def test_a_release_that_goes_while_it_is_open(
    demo_release: Path, tmp_path: Path, spoil: Callable[[Path], object]
) -> None:
    path = Path(shutil.copy(demo_release, tmp_path / "r.duckdb"))
    with towdb.open(path) as reference, screened(path) as screening:
        spoil(path)
        asked: tuple[Callable[[], object], ...] = (
            lambda: reference.sql("select * from statement"),
            lambda: reference.sql("select * from instruction, t", t=pd.DataFrame({"x": [1]})),
            lambda: screening.sql("select * from statement"),
            lambda: screening.sql("select * from citation"),
            lambda: screening.checks,
            lambda: towdb.show(reference, "Quillon"),
        )
        for ask in asked:
            answered(ask)
