"""Text of strangers on its way out: formulas in CSV, controls on a screen, JSON word for word."""

from __future__ import annotations

import csv
import io
import json
import unicodedata
from pathlib import Path

import pytest
from rich.cells import cell_len

import towdb
from tests.conftest import DEMO
from tests.helpers.folders import copy_base, read_table, set_cell
from tests.helpers.typist import Typist, typist_in
from towdb.invisible import DEFAULT_IGNORABLE

ON = ("--on", "2026-01-31")
FORMULAS = (
    "=1+1", "+1+1", "-1+1", "@SUM(A1)", "=cmd|' /C calc'!A0", "-",
    "=", '=HYPERLINK("https://example.com","a")', "\uff1d1+1", "\uff0b1+1", "\uff0d1+1", "\uff20A1",
)  # fmt: skip
# What a reader of other separators than commas would take apart, and how it is written.
NEW_CELLS = {
    "a;=1+1": "a;'=1+1", "a\t=1+1": "a\t'=1+1", "a\r=1+1": "a\r'=1+1", "a\n-1": "a\n'-1",
    "\t=1+1": "'\t'=1+1", "\r=1+1": "'\r'=1+1", 'a;"=1+1"': "a;\"'=1+1\"", ";;@A1": ";;'@A1",
    "a;\uff1d1": "a;'\uff1d1", "=1;+1": "'=1;'+1",
}  # fmt: skip
HARMLESS = ("1=1", " =1", "'=1", "a-b", "", "é=", "(1+1)", "a; b", "a;b=1", "1;2")
CONTROLS = {
    "colour": "\x1b[31mred\x1b[0m", "title": "\x1b]0;owned\x07", "clear": "\x1b[2J\x1b[H",
    "C1": "\x9b31mred", "bell": "\x07\x07", "backspace": "suitable\b\b\b", "return": "no\ryes",
    "tab": "a\tb", "delete": "a\x7fb", "override": "\u202egpj.exe", "isolate": "\u2066a\u2069",
    "marks": "\u200ea\u200fb", "letter mark": "a\u061cb", "separators": "a\u2028b\u2029c",
    "invisible": "a\u200bb\ufeffc", "next line": "a\x85b", "form feed": "a\x0bb\x0cc",
    "soft hyphen": "a\u00adb", "joiners": "a\u034fb\u200cc\u200dd\u2060e", "selector": "a\ufe0fb",
    "fillers": "a\u115f\u1160\u3164\uffa0b", "Mongolian": "a\u180eb", "Braille": "a\u2800b",
    "tags": "a\U000e0001\U000e0041b", "Khmer": "a\u17b4b", "not assigned": "a\ufff0\U000e0fffb",
}  # fmt: skip
# Every control, and what turns the reading direction around.
CODES = [*range(0x20), *range(0x7F, 0xA0), 0x61C, 0x200E, 0x200F, *range(0x2028, 0x202F)]
# And what the Unicode Character Database calls Default_Ignorable_Code_Point.
IGNORABLE = [code for low, high in DEFAULT_IGNORABLE for code in range(low, high + 1)]
NEVER = set(map(chr, [*CODES, *range(0x2066, 0x206A), 0x2800, *IGNORABLE]))
NAMES = {
    "long": "x" * 300, "long words": "Pika " * 60, "Hebrew": "שלום לוואן", "Arabic": "سيارة زرقاء",
    "Chinese": "红色的车", "Japanese": "東京の車 青", "long CJK": "車" * 150,
    "combining": "e\u0301" * 20,
    "emoji": "👩👩👧 🚗", "markup": "[bold]b[/bold] [/] :car:", "percent": "%s {0} $1",
}  # fmt: skip


@pytest.fixture
def typist(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Typist:
    return typist_in(tmp_path, capsys, monkeypatch)


def shortlist(folder: Path, names: list[str]) -> Path:
    path = folder / "cars.csv"
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerows([["candidate", "make", "model"], *([n, "Quillon", "Pika"] for n in names)])
    return path


def screen(typist: Typist, release: Path, *more: object) -> str:
    coach = ("--coach", DEMO / "coach.toml", "--reference", release)
    return typist.good("screen", "cars.csv", *coach, *ON, *more)


@pytest.fixture(scope="module")
def strange(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[str], list[str]]:
    """A release whose quotes and headings begin as formulas do; and its make, and those texts."""
    folder = copy_base(tmp_path_factory.mktemp("strange") / "reference")
    rows = read_table(folder, "eligibility")
    texts = []
    for number, text in enumerate([*FORMULAS[:4], *NAMES.values()][: len(rows)]):
        set_cell(folder, "eligibility", number, "quote", text.strip())
        texts.append(text.strip())
    makes = sorted({row["make"] for row in read_table(folder, "vehicle_group")})
    return towdb.build(folder, folder.parent / "strange.duckdb").path, texts, makes


def cells(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline="")))


def literal(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


# ---------------------------------------------------------------- CSV and JSON


def harmless(text: str) -> str:
    return NEW_CELLS.get(text) or (f"'{text}" if text in FORMULAS else text)


@pytest.mark.parametrize("text", [*FORMULAS, *NEW_CELLS, *HARMLESS], ids=ascii)
def test_a_formula_of_sql_is_only_text(typist: Typist, demo_release: Path, text: str) -> None:
    query = f"select {literal(text)} as a, -1 as b, -1.50::decimal(9,2) as c, null as d"
    call = ("sql", query, "--reference", demo_release)
    expected = [["a", "b", "c", "d"], [harmless(text), "-1", "-1.5", ""]]
    typist.good(*call, "-o", "answer.csv")
    with (typist.folder / "answer.csv").open(encoding="utf-8", newline="") as stream:
        assert list(csv.reader(stream)) == expected
    assert cells(typist.good(*call, "--format", "csv"))[1:] == expected[1:]
    (told,) = json.loads(typist.good(*call, "--format", "json"))
    assert told == {"a": text, "b": -1, "c": -1.5, "d": None}


def test_a_formula_as_a_name_of_a_column_is_only_text(typist: Typist, demo_release: Path) -> None:
    call = ("sql", 'select 1 as "=1+1", 2 as "-a"', "--reference", demo_release)
    assert cells(typist.good(*call, "--format", "csv"))[0] == ["'=1+1", "'-a"]
    assert json.loads(typist.good(*call, "--format", "json")) == [{"=1+1": 1, "-a": 2}]


def test_a_formula_of_a_shortlist_is_only_text(typist: Typist, demo_release: Path) -> None:
    # White space at the ends of a name is no part of it.
    names = [text for text in (*FORMULAS, *NEW_CELLS, *HARMLESS) if text == text.strip() and text]
    shortlist(typist.folder, names)
    ask = ("--sql", "select candidate from verdict")
    rows = cells(screen(typist, demo_release, "--format", "csv"))[1:]
    assert [row[0] for row in rows] == [harmless(name) for name in names]
    asked = cells(screen(typist, demo_release, *ask, "--format", "csv"))[1:]
    assert sorted(row[0] for row in asked) == sorted(harmless(name) for name in names)
    told = json.loads(screen(typist, demo_release, "--format", "json"))
    assert [car["candidate"] for car in told["screenings"][0]["candidates"]] == names
    asked_json = json.loads(screen(typist, demo_release, *ask, "--format", "json"))
    assert sorted(row["candidate"] for row in asked_json) == sorted(names)


def test_a_formula_of_a_reference_is_only_text(
    typist: Typist, strange: tuple[Path, list[str], list[str]]
) -> None:
    release, texts, makes = strange
    shown: list[str] = []
    verbatim: list[str] = []
    for make in makes:
        call = ("show", make, "--reference", release, *ON)
        shown += [row[-1] for row in cells(typist.good(*call, "--format", "csv"))[1:]]
        verbatim += [
            s["quote"] for s in json.loads(typist.good(*call, "--format", "json"))["statements"]
        ]
    assert set(texts) & set(FORMULAS)
    assert set(texts) <= set(verbatim)
    assert sorted(shown) == sorted(harmless(text) for text in verbatim)


@pytest.mark.parametrize("kind", [*CONTROLS, *NAMES])
def test_json_is_word_for_word(typist: Typist, demo_release: Path, kind: str) -> None:
    text = CONTROLS.get(kind) or NAMES[kind]
    call = ("sql", f"select {literal(text)} as a", "--reference", demo_release)
    assert json.loads(typist.good(*call, "--format", "json")) == [{"a": text}]


# ---------------------------------------------------------------- the screen


def printed_safely(out: str) -> None:
    assert not NEVER & set(out) - {"\n"}
    assert not [c for c in out if unicodedata.category(c) == "Cc" and c != "\n"]


@pytest.mark.parametrize("kind", CONTROLS)
def test_no_control_reaches_the_screen(typist: Typist, demo_release: Path, kind: str) -> None:
    text = CONTROLS[kind]
    select = f"select {literal(text)} as {json.dumps(text, ensure_ascii=False)}"
    printed_safely(typist.good("sql", select, "--reference", demo_release))
    printed_safely(typist.good("sql", f"{select}, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11", "--reference",
                               demo_release))  # fmt: skip
    shortlist(typist.folder, [f"a{text}b"])
    printed_safely(screen(typist, demo_release))
    printed_safely(screen(typist, demo_release, "--explain"))
    printed_safely(screen(typist, demo_release, "--sql", "from verdict"))
    for call in (
        ("sql", f"select {literal(text)} from nowhere", "--reference", demo_release),
        ("sql", f"select error({literal(text)})", "--reference", demo_release),
        ("show", text, "--reference", demo_release),
        ("describe", text),
        ("sql", "select 1", "--table", f"stock={text}", "--reference", demo_release),
    ):
        status, out, err = typist.type(*call)
        assert (status, out) == (2, "")
        printed_safely(err)


@pytest.mark.parametrize("kind", NAMES)
@pytest.mark.parametrize("columns", [None, 80, 40])
def test_a_name_of_any_script_is_said_whole(
    typist: Typist,
    demo_release: Path,
    monkeypatch: pytest.MonkeyPatch,
    kind: str,
    columns: int | None,
) -> None:
    name = NAMES[kind].strip()
    if columns:
        monkeypatch.setenv("COLUMNS", str(columns))
    shortlist(typist.folder, [name])
    for out in (
        screen(typist, demo_release, "--explain"),
        typist.good("sql", f"select {literal(name)} as a", "--reference", demo_release),
    ):
        printed_safely(out)
        assert max(map(cell_len, out.splitlines())) <= (columns or 100)
        # Cut into lines as it may be, each character of it is there.
        assert all(out.count(char) >= name.count(char) for char in set(name) - {" "})


def test_a_reference_of_any_script_is_shown(
    typist: Typist, strange: tuple[Path, list[str], list[str]]
) -> None:
    release, texts, makes = strange
    for make in makes:
        out = typist.good("show", make, "--reference", release, *ON)
        printed_safely(out)
        assert max(map(cell_len, out.splitlines())) <= 100
    out = typist.good("sql", "select quote from statement", "--reference", release)
    printed_safely(out)
    together = "".join(out.split())
    for text in texts:
        assert "".join(text.split())[:20] in together
