"""What is known because some row uses it: only a row that somebody has checked makes it known."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

import towdb
from tests.helpers.agreement import write_rows
from tests.helpers.worlds import Row
from tests.screening.test_many_unknowns import CLOSED, UNCHECKED, Pages, release_of

COACH = """[properties]
hitch_receiver = "5000 lb"
gcwr = "26000 lb"
gvwr = "23000 lb"
loaded_weight = "21000 lb"
towing_capacity = "none stated"
"""
# Of each model the same is permitted, except with a winch pack; what else uses `winchpack`?
MODELS: dict[str, dict[str, str] | None] = {
    "Nobody": None,
    "Unchecked": {"options_with": "winchpack", **UNCHECKED},
    "Absent": {"options_without": "winchpack", **UNCHECKED},
    "Draft": {"options_with": "winchpack", "source_id": "draft"},
    "Checked": {"options_with": "winchpack"},
    "Without": {"options_without": "winchpack"},
    "Forbidding": {"options_with": "winchpack", **UNCHECKED},
}
KNOWN = ("Checked", "Without")


def pages_of(model: str, other: dict[str, str] | None) -> Pages:
    pages = Pages()
    draft = {"source_id": "draft", "file_sha256": "2" * 64, **UNCHECKED}
    pages.rows["source"].append({**pages.rows["source"][0], **draft})
    key = model.lower()
    pages.group(key, model, options_without="winch pack")
    pages.permits(key)
    pages.weighs(key, 3500)
    if other:
        pages.group(f"{key}-2", model, **other)
    if model == "Forbidding":
        pages.says(f"{key}-2", "prohibited")
    return pages


@pytest.fixture(scope="module")
def release(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("options")
    return release_of([pages_of(model, other) for model, other in MODELS.items()], folder)


def car(model: str, options: str) -> Row:
    named = {"candidate": model, "make": "Quillon", "model": model, "model_year": "2020"}
    return {**named, **CLOSED, "options": options, "options_complete": "yes"}


@pytest.fixture
def screened(release: Path, tmp_path: Path) -> Iterator[towdb.Screening]:
    """Cars whose buyer has typed `winchpack` for the winch pack."""
    write_rows(tmp_path / "cars.csv", [car(model, "winchpack") for model in MODELS])
    (tmp_path / "coach.toml").write_text(COACH, "utf-8")
    cars, coach = tmp_path / "cars.csv", tmp_path / "coach.toml"
    with towdb.screen(cars, coach=coach, reference=release, on="2026-01-31") as screening:
        yield screening


def test_a_misspelling_is_no_option_because_an_unchecked_row_spells_it_so(
    screened: towdb.Screening,
) -> None:
    verdicts = {row["candidate"]: row["verdict"] for row in screened.records("verdict")}
    expected = {model: "suitable" if model in KNOWN else "undetermined" for model in MODELS}
    # What is listed is there all the same, for the row that spells it so: it may forbid.
    assert verdicts == {**expected, "Forbidding": "not_suitable"}


def test_the_remark_names_what_is_known(screened: towdb.Screening) -> None:
    remarks = {
        row["candidate"]: row["said"]
        for row in screened.records("remark")
        if row["kind"] == "misspelt_option"
    }
    assert remarks == {model: "winchpack" for model in MODELS if model not in KNOWN}


def test_an_option_of_unchecked_rows_alone_is_not_offered(release: Path, tmp_path: Path) -> None:
    pages = pages_of("Nobody", {"options_with": "tow hook pack", **UNCHECKED})
    write_rows(tmp_path / "cars.csv", [car("Nobody", "tow hook pak")])
    (tmp_path / "coach.toml").write_text(COACH, "utf-8")
    other = release_of([pages], tmp_path)
    with towdb.screen(
        tmp_path / "cars.csv", coach=tmp_path / "coach.toml", reference=other, on="2026-01-31"
    ) as screening:
        assert [row["option"] for row in screening.records("options")] == ["winch pack"]
