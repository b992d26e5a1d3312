"""`guide`: the longer documents, listed and printed."""

from __future__ import annotations

import re

import pytest

from tests.helpers.command import Command
from towdb.resources import guides


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Command:
    return Command(monkeypatch, capsys)


def test_every_guide_is_listed_with_its_title(
    command: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "120")
    listed = command("guide")
    assert (listed.status, listed.err) == (0, "")
    rows = re.findall(r"^ (\w+) {2,}(.+?) *$", listed.out, re.MULTILINE)
    titles = {name: text.splitlines()[0].removeprefix("# ") for name, text in guides().items()}
    assert rows == [("guide", "about"), *titles.items()]
    assert "towdb guide NAME" in listed.out


@pytest.mark.parametrize("name", guides())
def test_a_guide_is_printed_as_it_is_written(command: Command, name: str) -> None:
    text = guides()[name]
    assert re.match(r"# [A-Z].*\n\n", text)
    printed = command("guide", name)
    assert (printed.status, printed.out, printed.err) == (0, text, "")


@pytest.mark.parametrize(
    ("typed", "meant"), [("shpo", "shop"), ("Buyer", "buyer"), ("inventory", "inventories")]
)
def test_a_guide_of_nearly_that_name_is_suggested(command: Command, typed: str, meant: str) -> None:
    assert f"is not a guide; did you mean {meant}?" in command.refused("guide", typed)


@pytest.mark.parametrize("typed", ["", "zzz", "../../README", "/etc/passwd", "a\nb", "\udcff"])
def test_any_other_name_is_refused_with_the_list(command: Command, typed: str) -> None:
    line = command.refused("guide", "--", typed)
    assert f"is not a guide; choose {', '.join(guides())}" in line


def test_two_names_are_refused(command: Command) -> None:
    assert "shop" in command.refused("guide", "buyer", "shop")
