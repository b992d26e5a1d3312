"""Issued answers: replayed, compared with today, and with a record that was altered."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import duckdb
import pytest

import towdb
from tests.conftest import DEMO
from tests.helpers.answers import COACH, ON, screened, shortlist, verdicts
from tests.helpers.folders import BASE
from tests.helpers.shop import BODIL, DUNYA, IMRE, Clock, coach, raw, row_of, typed
from towdb.errors import DataError, UsageError
from towdb.record.answers import (
    Issued,
    Replay,
    affected,
    answers,
    digest,
    find_answer,
    issue,
    replay,
    turns,
)
from towdb.record.entry import import_rows
from towdb.record.export import identity_of, note_release, release
from towdb.record.store.record import Record
from towdb.reference.release import BuildResult
from towdb.screening.document import document


@pytest.fixture(scope="session")
def base_release(tmp_path_factory: pytest.TempPathFactory) -> BuildResult:
    """A release of the base folder, built once."""
    return towdb.build(BASE, tmp_path_factory.mktemp("base") / "base.duckdb")


@pytest.fixture
def then(shop: Record, base_release: BuildResult, tmp_path: Path) -> Path:
    """The release of the day on which the answers are issued: the rows on record were built."""
    assert identity_of(shop) == base_release.release_id
    note_release(shop, base_release.release_id, shop.last_change(), IMRE)
    return Path(shutil.copyfile(base_release.path, tmp_path / "shop.duckdb"))


def tell(record: Record, path: Path, *cars: str, to: str = "Lorne Haverel") -> Issued:
    with screened(path, *cars) as screening:
        return issue(record, screening, who=IMRE, issued_to=to)


def forbid_by_button(record: Record) -> None:
    """A correction: what was printed of cars that start by a button is a prohibition."""
    row = row_of(record.rows(), "eligibility", "button")
    cells = typed(row, permission="prohibited", same_steps_as=None, limits=None)
    limit = row_of(record.rows(), "towing_limit", "button-speed")
    with record.changing(BODIL, "a misprint") as changing:
        changing.withdraw("towing_limit", [str(limit["towing_limit_id"])])
    done = import_rows(record, [("eligibility", cells)], who=BODIL, change=True)
    assert done.ok, done.findings


def again(record: Record, number: int, folder: Path) -> Replay:
    folder.mkdir()
    return replay(record, number, folder)


# ---------------------------------------------------------------- issued


def test_what_was_told_is_kept_as_it_was(shop: Record, then: Path, clock: Clock) -> None:
    with screened(then) as screening:
        told = document(screening)
        kept = issue(shop, screening, who=" Dunya  Orrel", issued_to=" Lorne   Haverel ")
    assert (kept.number, kept.who, kept.issued_to) == (1, DUNYA, "Lorne Haverel")
    assert kept.at.startswith(clock.day)
    assert (kept.on_date, kept.towdb_version) == (ON, towdb.__version__)
    assert kept.release_id == told["reference"]["release_id"]
    assert kept.result == json.loads(json.dumps(told, default=float))
    assert kept.result_sha256 == digest(kept.result)
    assert answers(shop) == [kept]
    assert find_answer(shop, 1) == kept
    # Issuing an answer changes no row.
    assert shop.last_change() == 1


def test_answers_are_numbered_in_order(shop: Record, then: Path, clock: Clock) -> None:
    with pytest.raises(UsageError, match="known answers: none yet"):
        find_answer(shop, 1)
    for n, car in enumerate(("by key", "automatic"), start=1):
        clock.forward(hours=1)
        assert tell(shop, then, car).number == n
    assert [answer.number for answer in answers(shop)] == [1, 2]
    assert [answer.at for answer in answers(shop)] == sorted(a.at for a in answers(shop))
    for number in (0, 3, -1):
        with pytest.raises(UsageError, match="is not on record; known answers: 1 to 2"):
            find_answer(shop, number)


def test_nothing_is_kept_that_rests_on_edited_rows(
    shop: Record, then: Path, tmp_path: Path
) -> None:
    path = Path(shutil.copy(then, tmp_path / "edited.duckdb"))
    with duckdb.connect(str(path)) as con:
        con.execute("update towdb_data.statement_fact set checked = not checked")
    with (
        screened(path) as screening,
        pytest.raises(UsageError, match=r"was changed after it was built \(table statement_fact"),
    ):
        issue(shop, screening, who=IMRE, issued_to="Lorne Haverel")
    assert answers(shop) == []


def test_only_what_rests_on_this_record_is_kept(shop: Record, tmp_path: Path) -> None:
    # The base folder is the same reference: but nobody has released it of this record.
    path = towdb.build(BASE, tmp_path / "folder.duckdb").path
    with screened(path) as screening:
        with pytest.raises(UsageError, match="towdb record release"):
            issue(shop, screening, who=IMRE, issued_to="Lorne Haverel")
        release(shop, tmp_path / "shop.duckdb", who=IMRE)
        for nobody in ("", " \n"):
            with pytest.raises(UsageError, match="--issue-to"):
                issue(shop, screening, who=IMRE, issued_to=nobody)
        assert answers(shop) == []
        # Released, the same content is this record's, whichever file it was read from.
        assert issue(shop, screening, who=IMRE, issued_to="Lorne Haverel").number == 1


# ---------------------------------------------------------------- given again


def test_the_same_answer_is_given_again(
    shop: Record, then: Path, tmp_path: Path, clock: Clock
) -> None:
    kept = tell(shop, then)
    then.unlink()
    clock.forward(days=40)
    assert import_rows(shop, [("coach", coach("b"))], who=IMRE).ok
    replayed = again(shop, 1, tmp_path / "work")
    assert replayed.is_same
    assert replayed.issued == kept
    assert digest(replayed.again) == kept.result_sha256
    assert replayed.again == kept.result
    # Another coach on record does not affect these cars; the release is still a different one.
    assert replayed.turns == []
    assert replayed.today["reference"] != replayed.again["reference"]


def test_a_coach_file_is_kept_with_the_answer(shop: Record, then: Path, tmp_path: Path) -> None:
    path = tmp_path / "coach.toml"
    path.write_text((DEMO / "coach.toml").read_text("utf-8"), "utf-8")
    with towdb.screen(shortlist("by key"), coach=[path, COACH], reference=then, on=ON) as screening:
        kept = issue(shop, screening, who=IMRE, issued_to="Isa Haverel")
    path.unlink()
    replayed = again(shop, 1, tmp_path / "work")
    assert replayed.is_same
    assert [s["coach"]["coach"] for s in replayed.again["screenings"]] == ["coach", COACH]
    assert replayed.again == kept.result


def test_today_is_otherwise_where_the_page_was_misread(
    shop: Record, then: Path, tmp_path: Path
) -> None:
    tell(shop, then)
    forbid_by_button(shop)
    replayed = again(shop, 1, tmp_path / "work")
    # The issued answer is still the answer of that day's release.
    assert replayed.is_same
    (turn,) = replayed.turns
    assert (turn.candidate, turn.coach) == ("by button", COACH)
    assert (turn.before, turn.after) == ("suitable", "not_suitable")
    now = release(shop, tmp_path / "now.duckdb", who=IMRE).path
    one, other = verdicts(then), verdicts(now)
    assert {car for car in one if one[car] != other[car]} == {"by button"}
    assert other["by button"] == turn.after
    assert len(turn.why) >= 1


# ---------------------------------------------------------------- altered


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE towing_limit_history SET value = '70' WHERE towing_limit_id = 'button-speed'",
        "DELETE FROM eligibility_history WHERE eligibility_id = 'button'",
        "UPDATE eligibility_history SET from_change = 2 WHERE eligibility_id = 'button'",
        "UPDATE coach_property SET value = '23000' WHERE coach_property_id = 'gcwr'",
        "UPDATE released SET change_number = 3",
    ],
    ids=["a figure of then", "a row of then", "when it stood", "a figure that stands", "which"],
)
def test_an_altered_record_is_found_out(
    shop: Record, shop_url: str, then: Path, tmp_path: Path, sql: str
) -> None:
    tell(shop, then, "by key")
    forbid_by_button(shop)
    raw(shop_url, sql)
    with pytest.raises(DataError):
        again(shop, 1, tmp_path / "work")


def test_an_altered_record_is_named(
    shop: Record, shop_url: str, then: Path, tmp_path: Path
) -> None:
    kept = tell(shop, then, "by key")
    raw(shop_url, "UPDATE coach SET note = 'repainted'")
    with pytest.raises(DataError) as error:
        again(shop, 1, tmp_path / "work")
    assert "as of change 1" in str(error.value)
    assert kept.release_id[:12] in str(error.value)
    assert "the record was altered" in str(error.value)


def test_an_altered_answer_is_found_out(
    shop: Record, shop_url: str, then: Path, tmp_path: Path
) -> None:
    kept = tell(shop, then, "automatic")
    told = json.dumps(kept.result, sort_keys=True, ensure_ascii=False)
    assert '"not_suitable"' in told
    raw(shop_url, "UPDATE issued SET result = ?", told.replace('"not_suitable"', '"suitable"'))
    try:
        replayed = again(shop, 1, tmp_path / "work")
    except DataError:
        return
    assert not replayed.is_same


def test_nobody_is_called_by_an_altered_answer(shop: Record, shop_url: str, then: Path) -> None:
    kept = tell(shop, then, "automatic")
    told = json.dumps(kept.result, sort_keys=True, ensure_ascii=False)
    raw(shop_url, "UPDATE issued SET result = ?", told.replace('"not_suitable"', '"suitable"'))
    with pytest.raises(DataError):
        list(affected(shop, then))


# ---------------------------------------------------------------- whom to call


def test_those_are_called_whose_answer_changes(
    shop: Record, then: Path, tmp_path: Path, clock: Clock
) -> None:
    asked = [("by key",), ("by button",), ("automatic", "by button"), ("automatic",), ()]
    for n, cars in enumerate(asked):
        tell(shop, then, *cars, to=f"Customer {n}")
    assert list(affected(shop, then)) == []
    assert list(affected(shop, then, then)) == []
    forbid_by_button(shop)
    clock.forward(days=1)
    now = release(shop, tmp_path / "now.duckdb", who=IMRE).path
    # Held against both releases, car by car.
    one, other = verdicts(then), verdicts(now)
    expected = {
        f"Customer {n}": [car for car in cars or one if one[car] != other[car]]
        for n, cars in enumerate(asked)
    }
    expected = {to: cars for to, cars in expected.items() if cars}
    assert expected == {"Customer 1": ["by button"], "Customer 2": ["by button"],
                        "Customer 4": ["by button"]}  # fmt: skip
    for before in (None, then):
        found = list(affected(shop, now, before))
        assert {a.issued_to: [turn.candidate for turn in t] for a, t in found} == expected
        assert {(t.before, t.after) for _, each in found for t in each} == {
            ("suitable", "not_suitable")
        }
    # The other way round, they would be called for the other reason.
    back = list(affected(shop, then, now))
    assert {(t.before, t.after) for _, each in back for t in each} == {("not_suitable", "suitable")}


def test_a_change_of_what_it_takes_is_told_too(shop: Record, then: Path, tmp_path: Path) -> None:
    tell(shop, then, "by key", to="Lorne Haverel")
    tell(shop, then, "automatic", to="Isa Haverel")
    stands = row_of(shop.rows(), "towing_limit", "key-speed")
    quote = "Do not exceed 55 mph (89 km/h)."
    cells = typed(stands, value="55", also_value="89", quote=quote)
    done = import_rows(shop, [("towing_limit", cells)], who=IMRE, change=True)
    assert done.ok, done.findings
    now = release(shop, tmp_path / "now.duckdb", who=IMRE).path
    ((answer, (turn,)),) = affected(shop, now)
    assert answer.issued_to == "Lorne Haverel"
    # The limit awaits its check: until then the procedure is not determined.
    assert (turn.before, turn.after) == ("suitable", "undetermined")


def test_turns_are_found_on_either_side() -> None:
    def said(**cars: str) -> dict[str, object]:
        candidates = [
            {"candidate": car, "verdict": verdict, "checks": [], "conditions": []}
            for car, verdict in cars.items()
        ]
        return {"screenings": [{"coach": {"coach": "c"}, "candidates": candidates}]}

    found = list(turns(said(a="suitable", b="suitable"), said(b="suitable", d="suitable")))
    assert [(t.candidate, t.before, t.after) for t in found] == [
        ("a", "suitable", None), ("d", None, "suitable")
    ]  # fmt: skip
    assert list(turns(said(a="suitable"), said(a="suitable"))) == []
