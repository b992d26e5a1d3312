"""Coach, policy and mapping files that are no files, or hold numbers without end."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.conftest import DEMO
from tests.helpers.command import Command
from towdb.errors import UsageError
from towdb.files import toml
from towdb.files.toml import read_toml

Call = tuple[object, ...]


@pytest.fixture
def type_in(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> Command:
    monkeypatch.chdir(tmp_path)
    return Command(monkeypatch, capsys)


@pytest.fixture
def calls(demo_release: Path) -> dict[str, Call]:
    screen = ("screen", DEMO / "shortlist.csv", "--reference", demo_release)
    coach = ("--coach", DEMO / "coach.toml")
    return {
        "coach file": (*screen, "--coach", "it.toml"),
        "policy file": (*screen, *coach, "--policy", "it.toml"),
        "mapping file": (*screen, *coach, "--map", "it.toml"),
    }


@pytest.mark.parametrize("what", ["coach file", "policy file", "mapping file"])
def test_what_is_no_file(type_in: Command, calls: dict[str, Call], what: str) -> None:
    Path("it.toml").symlink_to("/dev/zero")
    assert f"the {what} is a device, not a file" in type_in.refused(*calls[what])
    Path("it.toml").unlink()
    os.mkfifo("it.toml")
    assert f"the {what} is a named pipe, not a file" in type_in.refused(*calls[what])


NUMBERS = {
    "decimal": "9" * 100_000,
    "with signs and marks": "-" + "9_" * 5_000 + "9",
    "hexadecimal": "0x" + "f" * 100_000,
    "just too long": "9223372036854775808",
}
PLACES = {
    "coach file": ("[outfit]", "length = "),
    "policy file": ("weigh_by = 'gvwr'", "level_tolerance = "),
    "mapping file": ("[columns]", "a = "),
}


@pytest.mark.parametrize("kind", NUMBERS)
@pytest.mark.parametrize("what", PLACES)
def test_a_number_without_end(
    type_in: Command, calls: dict[str, Call], what: str, kind: str
) -> None:
    first, key = PLACES[what]
    Path("it.toml").write_text(f"{first}\n{key}{NUMBERS[kind]}\n", "utf-8")
    told = type_in.refused(*calls[what])
    assert f"the {what} has a whole number of more than 64 bits" in told
    assert ("it.toml, line 2: " in told) == (kind != "just too long")
    assert len(told) < 300


def test_a_file_that_is_too_large(tmp_path: Path) -> None:
    (tmp_path / "it.toml").write_bytes(b"#" * (toml.MAX_TOML + 1))
    with pytest.raises(UsageError, match="the coach file is larger than 1 MB"):
        read_toml(tmp_path / "it.toml", "coach file")


def test_keys_nested_deeper_than_calls_may_be(tmp_path: Path) -> None:
    (tmp_path / "it.toml").write_text(".".join("a" * 1_001) + " = 1\n", "utf-8")
    assert set(read_toml(tmp_path / "it.toml", "coach file")) == {"a"}


def test_a_key_of_very_many_parts(tmp_path: Path) -> None:
    (tmp_path / "it.toml").write_text("\n" + ".".join("a" * 1_002) + " = 1\n", "utf-8")
    with pytest.raises(UsageError, match=r"line 2: the coach file has more than 1,000 full stops"):
        read_toml(tmp_path / "it.toml", "coach file")
