"""Bad inventories under every verb that takes one: told, with the place, and nothing written."""

from __future__ import annotations

import gzip
import os
import time
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path

import duckdb
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.command import Command
from tests.intake.test_files import loaded, write_csv, write_parquet

COACH = DEMO / "coach.toml"
ON = "2026-01-31"


@pytest.fixture
def verbs(demo_release: Path) -> dict[str, tuple[object, ...]]:
    """The verbs that take an inventory, the inventory to be put behind the first words."""
    reference = ("--reference", demo_release)
    return {
        "check": ("inventory", "check", "{}"),
        "weights": ("weights", "{}"),
        "weights by a reference": ("weights", "{}", *reference, "--on", ON),
        "gaps": ("gaps", "{}", *reference, "--on", ON),
        "summary": ("screen", "{}", "--coach", COACH, *reference, "--on", ON, "--summary"),
    }


def each(verbs: dict[str, tuple[object, ...]], inventory: object) -> Iterator[tuple[object, ...]]:
    for words in verbs.values():
        yield tuple(inventory if word == "{}" else word for word in words)


def names(folder: Path) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*"))


# ---------------------------------------------------------------- what is no inventory

NO_INVENTORY: dict[str, tuple[str, bytes, str]] = {
    "no bytes": ("cars.csv", b"", "cars.csv: is empty; write the column names first"),
    "Parquet of no bytes": ("cars.parquet", b"", "cars.parquet: is empty"),
    "CSV called Parquet": ("cars.parquet", b"make\nx\n", "cars.parquet: is not a Parquet file"),
    "Parquet called CSV": ("cars.csv", b"PAR1\x00\xff", "give it a name that ends in .parquet"),
    "cut short": ("cars.parquet", b"PAR1\x15\x04\x15\x10", "cars.parquet: cannot be read"),
    "packed": ("cars.csv.gz", gzip.compress(b"make\nx\n"), "is packed (gzip); unpack it"),
    "packed, called CSV": ("cars.csv", gzip.compress(b"make\nx\n"), "is packed (gzip)"),
    "workbook cut short": ("cars.xlsx", b"PK\x03\x04\x14\x00", "is damaged, or not a workbook"),
    "workbook called CSV": ("cars.csv", b"PK\x03\x04\x14\x00", "a name that ends in .xlsx"),
    "another text": ("cars.csv", "make\nBräck\n".encode("latin-1"), "line 2: not UTF-8"),
}


@pytest.mark.parametrize("case", NO_INVENTORY)
def test_what_is_no_inventory(
    type_in: Command, tmp_path: Path, verbs: dict[str, tuple[object, ...]], case: str
) -> None:
    name, content, says = NO_INVENTORY[case]
    (tmp_path / name).write_bytes(content)
    for call in each(verbs, name):
        assert says in type_in.refused(*call)
    assert names(tmp_path) == [name]


@pytest.mark.parametrize(
    ("inventory", "says"),
    [
        ("no.csv", "no.csv: cannot be read: no such file; check the path"),
        ("no.parquet", "no.parquet: cannot be read: no such file"),
        ("*.parquet", "*.parquet: no file matches; check the path, and put it in quotes"),
        ("hollow", "hollow: no file there ends in .csv, .parquet or .xlsx; choose another"),
        ("pipe.csv", "pipe.csv: is a named pipe, not a file; write its content into a file"),
        ("/dev/null", "null: is a device, not a file"),
        ("", "an empty text is not a path; name a file"),
        (os.fsdecode(b"\xff.csv"), "<U+DCFF>.csv: its name is not UTF-8; rename it"),
    ],
)
def test_a_path_that_leads_to_none(
    type_in: Command, tmp_path: Path, verbs: dict[str, tuple[object, ...]], inventory: str,
    says: str,
) -> None:  # fmt: skip
    for name in ("_SUCCESS", ".part.csv.crc", "read me.txt"):
        (tmp_path / "hollow").mkdir(exist_ok=True)
        (tmp_path / "hollow" / name).touch()
    os.mkfifo(tmp_path / "pipe.csv")
    Path(os.fsdecode(b"\xff.csv")).write_text("make\nx\n", "utf-8")
    for call in each(verbs, inventory):
        assert says in type_in.refused(*call)


def test_rows_of_nothing(
    type_in: Command, tmp_path: Path, verbs: dict[str, tuple[object, ...]]
) -> None:
    (tmp_path / "cars.csv").write_text("candidate,make,gvwr\n\n\n", "utf-8")
    for call in each(verbs, "cars.csv"):
        said = type_in(*call)
        assert (said.status, said.err) == (0, "")
        assert "0 row(s)" in said.out or "0 rows read" in said.out


# ---------------------------------------------------------------- damage further on


def damaged(path: Path, column: str) -> Path:
    """A Parquet file in which the cells of one column are lost."""
    write_parquet(
        path,
        "SELECT 'a' || i AS candidate, 'Quillon' AS make, 'b' || i AS lot, 'M' || i AS model,"
        " (3000 + i % 900) || ' lb' AS gvwr, 9000 + i AS price FROM range(20000) AS t(i)",
    )
    with duckdb.connect() as con:
        found = con.execute(
            "SELECT COALESCE(dictionary_page_offset, data_page_offset), total_compressed_size"
            " FROM parquet_metadata($1) WHERE path_in_schema = $2",
            [str(path), column],
        ).fetchall()
    data = bytearray(path.read_bytes())
    for offset, size in found:
        data[offset + 40 : offset + size] = b"\xff" * (size - 40)
    path.write_bytes(data)
    return path


@pytest.mark.parametrize(
    ("column", "options"),
    [
        ("lot", ("weights", "--by", "lot")),
        ("price", ("weights", "--weigh-by", "price")),
        ("lot", ("screen", "--summary", "--by", "lot")),
        ("model", ("screen", "-o", "out.parquet")),
        ("model", ("gaps",)),
        ("lot", ("screen", "--set-aside", "aside.csv", "-o", "out.csv")),
        ("lot", ("inventory", "check")),
    ],
)
def test_damage_is_told_of_the_file_whenever_it_shows(
    type_in: Command, tmp_path: Path, demo_release: Path, column: str, options: tuple[str, ...]
) -> None:
    damaged(tmp_path / "cars.parquet", column)
    verb, *more = options
    words: list[object] = [verb, *([more.pop(0)] if verb == "inventory" else []), "cars.parquet"]
    words += more
    words += ["--reference", demo_release] if verb in ("screen", "gaps") else []
    words += ["--coach", COACH] if verb == "screen" else []
    line = type_in.refused(*words)
    assert line.startswith("towdb: cars.parquet: cannot be read: ")
    assert line.endswith("; write it again")
    assert names(tmp_path) == ["cars.parquet"]


# ---------------------------------------------------------------- folders


def test_a_file_that_is_not_there_any_more_is_not_passed_over(tmp_path: Path) -> None:
    write_csv(tmp_path / "stock" / "a.csv", [{"make": "x"}])
    for name in ("b.csv", "c.parquet"):
        (tmp_path / "stock" / name).symlink_to("gone")
    for source in (tmp_path / "stock", tmp_path / "stock" / "*.*"):
        with pytest.raises(towdb.UsageError) as error:
            loaded(source)
        first, second = str(error.value).splitlines()
        assert "b.csv: cannot be read: no such file" in first
        assert "c.parquet: cannot be read: no such file" in second


def test_a_folder_that_cannot_be_read_is_not_passed_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_csv(tmp_path / "stock" / "a.csv", [{"make": "x"}])
    write_csv(tmp_path / "stock" / "closed" / "b.csv", [{"make": "y"}])
    # Whoever runs the tests may be one whom no permission stops.
    scandir = os.scandir

    def closed(path: str | os.PathLike[str]) -> object:
        if Path(path).name == "closed":
            raise PermissionError(13, "Permission denied", str(path))
        return scandir(path)

    monkeypatch.setattr(os, "scandir", closed)
    with pytest.raises(towdb.UsageError, match="closed: cannot be read: Permission denied"):
        loaded(tmp_path / "stock")


def test_a_file_that_cannot_be_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("a.csv", "b.parquet"):
        (tmp_path / name).write_bytes(b"PAR1")
    opened = os.open

    def closed(path: Path, flags: int) -> int:
        if Path(path).parent == tmp_path:
            raise PermissionError(13, "Permission denied", str(path))
        return opened(path, flags)

    monkeypatch.setattr("towdb.files.plain.os.open", closed)
    with pytest.raises(towdb.UsageError) as error:
        loaded(tmp_path / "*.*")
    lines = str(error.value).splitlines()
    assert len(lines) == 2
    assert all("Permission denied; make it a readable file" in line for line in lines)


def test_a_link_to_a_folder_is_named(tmp_path: Path) -> None:
    write_csv(tmp_path / "stock" / "a.csv", [{"make": "x"}])
    (tmp_path / "stock" / "up").symlink_to(tmp_path)
    typed, rows = loaded(tmp_path / "stock")
    assert rows == [{"make": "x"}]
    assert typed.notes[0].endswith("left aside, not CSV, Parquet or XLSX: up (a link to a folder)")


def test_folders_that_contradict_each_other(tmp_path: Path) -> None:
    write_csv(tmp_path / "stock" / "lot=1" / "lot=2" / "a.csv", [{"make": "x"}])
    write_csv(tmp_path / "twice" / "lot=1" / "lot=1" / "a.csv", [{"make": "x"}])
    with pytest.raises(towdb.UsageError, match="its folders give lot=1 and lot=2; keep one"):
        loaded(tmp_path / "stock")
    with pytest.raises(towdb.UsageError, match="its folders give lot=1 and lot=2; keep one"):
        loaded(tmp_path / "stock" / "lot=1" / "*" / "*.csv")
    assert loaded(tmp_path / "twice")[1] == [{"make": "x", "lot": "1"}]


def test_a_folder_whose_name_is_no_text(type_in: Command, tmp_path: Path) -> None:
    write_csv(tmp_path / "stock" / os.fsdecode(b"lot=\xff") / "a.csv", [{"make": "x"}])
    assert "lot=<U+DCFF>/a.csv: its name is not UTF-8" in type_in.refused("weights", "stock")


def test_another_type_and_a_column_more_in_one_part(tmp_path: Path) -> None:
    write_parquet(tmp_path / "stock" / "a.parquet", "SELECT 'A1' AS stock_no, 2021 AS model_year")
    write_parquet(
        tmp_path / "stock" / "b.parquet",
        "SELECT 7 AS stock_no, '2022' AS model_year, 4000.0::DECIMAL(18,4) AS gvwr, 'lb' AS unit,"
        " 'good' AS verdict",
    )
    typed, rows = loaded(tmp_path / "stock", mapping={"columns": {"unit": "weight_unit"}})
    assert rows == [
        {"candidate": "A1", "model_year": "2021"},
        {"candidate": "7", "model_year": "2022", "gvwr": "4000", "weight_unit": "lb"},
    ]
    assert typed.notes[-1] == "1 column(s) left aside: verdict"


def test_every_verb_says_how_cars_were_read(
    type_in: Command, tmp_path: Path, verbs: dict[str, tuple[object, ...]]
) -> None:
    write_csv(tmp_path / "stock" / "a.csv", [{"make": "x", "gvwr": "4000 lb"}])
    write_csv(tmp_path / "stock" / "b.csv", [{"make": "x"}])
    note = "column gvwr is not in b.csv (1 of 2 files)"
    for call in each(verbs, "stock"):
        said = type_in(*call)
        told = said.out if call[0] == "inventory" else said.err
        assert (said.status, note in told) == (0, True)
    assert towdb.weights(tmp_path / "stock").notes == (
        f"{note}: its cells are empty there",
    )  # fmt: skip


# ---------------------------------------------------------------- cells


@pytest.mark.parametrize(
    ("value", "kind", "text"),
    [
        ("2020.5", "DOUBLE", "2020.5"),
        ("2021", "HUGEINT", "2021"),
        ("2021.0000", "DECIMAL(38,4)", "2021"),
        ("2021.50", "DECIMAL(9,2)", "2021.50"),
        ("1600.123400", "DECIMAL(18,6)", "1600.1234"),
        ("100", "DECIMAL(9,0)", "100"),
        ("true", "BOOLEAN", "true"),
        ("nan", "DOUBLE", None),
        ("2021-03-04 00:00:00+00", "TIMESTAMPTZ", "2021-03-04"),
        ("2021-03-04 05:00:00+01", "TIMESTAMPTZ", "2021-03-04 04:00:00+00"),
    ],
)
@pytest.mark.parametrize("zone", ["UTC", "America/New_York", "Asia/Tokyo"])
def test_parquet_means_the_same_wherever_it_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, value: str, kind: str, text: str | None,
    zone: str,
) -> None:  # fmt: skip
    path = write_parquet(tmp_path / "cars.parquet", f"SELECT '{value}'::{kind} AS lot, 1 AS make")
    monkeypatch.setenv("TZ", zone)
    time.tzset()
    try:
        assert loaded(path)[1] == [{"make": "1", **({"lot": text} if text else {})}]
    finally:
        monkeypatch.undo()
        time.tzset()


def test_a_column_called_as_rows_are_numbered(tmp_path: Path) -> None:
    path = write_parquet(tmp_path / "cars.parquet", "SELECT 'a' AS make, 5 AS file_row_number")
    with pytest.raises(towdb.UsageError, match="a column is called file_row_number"):
        loaded(path, mapping={"columns": {}})


def test_a_bare_weight_is_told_how_a_unit_is_given(
    type_in: Command, tmp_path: Path, verbs: dict[str, tuple[object, ...]]
) -> None:
    (tmp_path / "cars.csv").write_text('gvwr\n"3,500 lb"\n1600 kg\n3500\n', "utf-8")
    for call in [*each(verbs, "cars.csv")][1:]:
        assert type_in.refused(*call) == (
            "towdb: cars.csv, line 4, gvwr: '3500': '3500' has no unit; write a figure with its"
            " unit, such as 4,400 lb, or lb or kg in a column weight_unit"
        )


def test_a_stock_number_twice_counts_nowhere(
    type_in: Command, tmp_path: Path, verbs: dict[str, tuple[object, ...]]
) -> None:
    (tmp_path / "cars.csv").write_text("stock_no,make\n7,x\n 7 ,x\nA,x\na,x\n,x\n,x\n", "utf-8")
    for call in each(verbs, "cars.csv"):
        said = type_in(*call)
        if call[0] == "inventory":
            assert (said.status, said.out.count("two cars have this name")) == (1, 2)
        else:
            lines = said.err.splitlines()
            assert (said.status, len(lines)) == (2, 2)
            assert "line 2, candidate: '7': two cars have this name" in lines[0]


@pytest.mark.parametrize("header", ["verdict", "coach", "candidate_no", "configuration_no"])
def test_columns_called_as_ours_are_left_aside_as_they_came(
    tmp_path: Path, demo_release: Path, header: str
) -> None:
    cars, aside = tmp_path / "cars.csv", tmp_path / "aside.csv"
    cars.write_text(f"lot,{header},{header},LOT 2\na,1,2,3\nb,4,5\n", "utf-8")
    more = {"mapping": {"columns": {}}, "set_aside": aside}
    with towdb.screen(cars, coach=COACH, reference=demo_release, on=ON, **more) as screening:  # type: ignore[arg-type]
        assert screening.verdicts["candidate"].tolist() == ["row 1"]
        assert screening.summary("lot").cars == 1
    said = f"lot,{header},{header}_1,LOT 2,file,line,reason\nb,4,5,,cars.csv,3,3 cells where"
    assert aside.read_text("utf-8").startswith(said)


def test_a_picture_is_one_whatever_a_group_is_called(
    type_in: Command, tmp_path: Path, demo_release: Path
) -> None:
    for odd in ("\ufffe", "\uffff", "\u202e", "$\\frac{", "<b>&amp;"):
        write_csv(tmp_path / "cars.csv", [{"lot": f"a{odd}b", "gvwr": "4000 lb"}])
        said = type_in(
            "screen", "cars.csv", "--coach", COACH, "--reference", demo_release, "--summary",
            "--by", "lot", "--plot", "m.svg",
        )  # fmt: skip
        assert said.status == 0
        assert odd not in said.out or odd.isascii()
        assert "(1)" in "".join(ET.parse(tmp_path / "m.svg").getroot().itertext())
