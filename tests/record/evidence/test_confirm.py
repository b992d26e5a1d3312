"""What the documents show about rows: each status, which page, which rows, and the whole demo."""

from __future__ import annotations

import csv
import re
from decimal import Decimal
from pathlib import Path
from typing import Any

import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scripts import demo_pages
from scripts.demo_manuals import DOCUMENTS
from tests.conftest import DEMO
from tests.helpers.typeset import Shelf, lines, pdf, together
from towdb.contract.model import contract
from towdb.errors import UsageError
from towdb.record.evidence import confirm as module
from towdb.record.evidence.confirm import STATUSES, Evidence, confirm, findings, summary
from towdb.record.evidence.pages import Pages, read_pages

SENTENCE = "The vehicle may be towed with all four wheels on the ground, at up to 65 mph."


def row(quote: str, locator: str = "p. 1", **cells: Any) -> tuple[str, dict[str, Any]]:
    return "towing_limit", {
        "towing_limit_id": "a", "source_id": "s", "locator": locator, "quote": quote, **cells
    }  # fmt: skip


def look(quote: str, *texts: str, locator: str = "p. 1", **cells: Any) -> Evidence:
    return confirm([row(quote, locator, **cells)], {"s": Pages(Shelf(*texts))})[0]


# ---------------------------------------------------------------- what is found about a row


def test_each_status_is_what_it_says(tmp_path: Path) -> None:
    path = pdf(tmp_path / "a.pdf", lines(SENTENCE), lambda canvas: None, lines("other words"))
    (tmp_path / "broken.pdf").write_bytes(b"%PDF-1.4 and no more")
    documents = {"s": path, "broken": tmp_path / "broken.pdf", "gone": tmp_path / "gone.pdf"}
    rows = [
        row("may be towed", "p. 1"),
        row("may be towed", "p. 3"),
        row("may be towed", "p. 2"),
        row("may be towed", "p. 4"),
        row("may be towed", "door post"),
        row("may not be towed", "p. 1"),
        row("may be towed", source_id="none"),
        row("may be towed", source_id="broken"),
        row("may be towed", source_id="gone"),
    ]
    found = confirm(rows, documents)
    assert [(each.status, each.found_on) for each in found] == [
        ("confirmed", "file page 1"),
        ("not_found", "file page 1"),
        ("no_text_layer", "file page 1"),
        ("page_missing", "file page 1"),
        ("page_missing", "file page 1"),
        ("not_found", ""),
        ("no_document", ""),
        ("no_document", ""),
        ("no_document", ""),
    ]
    assert {each.status for each in found} == set(STATUSES)
    assert [each.remark for each in found[:3]] == ["", "", ""]
    assert "give the file_page" in found[4].remark
    assert found[6].remark == ""
    assert "not a whole PDF" in found[7].remark
    assert "no such file" in found[8].remark


def test_a_quote_that_says_too_little_is_never_confirmed() -> None:
    for quote in ("", None, "…", "2H", "a … b"):
        found = look(quote, "a b 2H … a b")  # type: ignore[arg-type]
        assert found.status == "not_found"
        assert found.remark == "the quote has no part of 3 letters or digits"
        assert found.found_on == ""
    assert look("2H4", "2H4").status == "confirmed"


def test_the_printed_label_decides_which_page_it_is(tmp_path: Path) -> None:
    texts = ["one", "two", SENTENCE]
    path = pdf(
        tmp_path / "a.pdf",
        *map(lines, texts),
        labels=[(0, None, None, "Cover"), (1, "ARABIC", 213)],
    )
    [found, beside] = confirm(
        [row("may be towed", "p. 214"), row("may be towed", "p. 213")], {"s": path}
    )
    assert (found.status, found.found_on) == ("confirmed", "p. 214")
    assert (beside.status, beside.found_on) == ("not_found", "p. 214")
    [by_file_page] = confirm([row("may be towed", "p. 213", file_page=3)], {"s": path})
    assert (by_file_page.status, by_file_page.found_on) == ("confirmed", "p. 214")
    assert by_file_page.remark == "file page 3 is p. 214 by the labels of the file"


def test_fragments_stand_on_one_page_in_their_order() -> None:
    assert look("one … two", "one", "two").status == "not_found"
    assert look("one … two", "two one").status == "not_found"
    assert look("one … two", "two one two").status == "confirmed"


HEAD, FOOT = "Towing", "{}"


def book(*bodies: str) -> Pages:
    return Pages(
        Shelf(*(f"{HEAD}\n{body}\nMarlet 2022  {n}" for n, body in enumerate(bodies, 212)))
    )


def test_a_quote_may_run_over_to_the_next_page() -> None:
    pages = book(
        "one", "and so on. It may be towed", "with all four trans-", "mission on the ground."
    )
    rows = [
        row("may be towed with all four", "p. 2"),
        row("four transmission on", "p. 3"),
        row("be towed with … all", "p. 2"),
        row("with all four", "p. 2"),
        row("may be towed with all four", "p. 1"),
        row("on the ground", "p. 4"),
    ]
    found = confirm(rows, {"s": pages})
    assert [each.status for each in found] == [
        "confirmed", "confirmed", "not_found", "not_found", "not_found", "confirmed"
    ]  # fmt: skip
    assert found[0].found_on == "file page 2 and file page 3"
    assert found[0].remark == "runs over from file page 2 to file page 3"
    assert found[3].found_on == "file page 3"


@pytest.mark.parametrize("between", ["only on a trailer", "not", "65", "- 3 -", "Towing it"])
def test_only_running_heads_and_feet_are_passed_over(between: str) -> None:
    quote = row("may be towed with all four", "p. 2")
    foot = book("one", f"It may be towed\n{between}", "with all four wheels", "four")
    head = book("one", "It may be towed", f"{between}\nwith all four wheels", "four")
    for pages in (foot, head):
        assert confirm([quote], {"s": pages})[0].status == "not_found"


def test_a_page_number_of_its_own_is_passed_over() -> None:
    pages = Pages(Shelf("one\n212", "may be towed\n213", "with all four\n214"))
    assert (
        confirm([row("may be towed with all four", "p. 2")], {"s": pages})[0].status == "confirmed"
    )


def test_columns_are_read_one_by_one(tmp_path: Path) -> None:
    left = ("Vehicles with a manual", "gearbox may be towed", "on their own wheels.")
    right = ("All others must be", "carried on a trailer,", "whatever their drive.")
    rows = [
        lines(text, left=start, top=740 - 14 * line)
        for line, pair in enumerate(zip(left, right, strict=True))
        for text, start in zip(pair, (72, 320), strict=True)
    ]
    path = pdf(tmp_path / "a.pdf", together(*rows))
    quotes = {
        "a manual gearbox may be towed on their own": "confirmed",
        "Vehicles with … own wheels.": "confirmed",
        "must be carried on a trailer, whatever": "confirmed",
        "a manual gearbox may be carried": "not_found",
    }
    found = confirm([row(quote) for quote in quotes], {"s": path})
    assert [each.status for each in found] == list(quotes.values())
    assert found[0].remark == "read in columns"


def test_the_foot_of_a_column_does_not_join_the_head_of_the_next(tmp_path: Path) -> None:
    cells = [("Manual", "permitted"), ("Automatic", "prohibited")]
    rows = [
        lines(text, left=start, top=740 - 14 * line)
        for line, pair in enumerate(cells)
        for text, start in zip(pair, (72, 320), strict=True)
    ]
    path = pdf(tmp_path / "a.pdf", together(*rows))
    for quote in ("Automatic permitted", "Automatic … permitted"):
        assert confirm([row(quote)], {"s": path})[0].status == "not_found"
    for quote in ("Manual permitted", "Automatic … prohibited"):
        assert confirm([row(quote)], {"s": path})[0].status == "confirmed"


@given(st.lists(st.booleans(), min_size=1, max_size=12), st.data())
def test_the_nearest_page_is_named(there: list[bool], data: st.DataObject) -> None:
    cited = data.draw(st.integers(1, len(there)))
    texts = ["may be towed" if each else "other words" for each in there]
    found = look("may be towed", *texts, locator=f"p. {cited}")
    distances = {n: abs(n - cited) for n, each in enumerate(there, 1) if each}
    if not distances:
        assert (found.status, found.found_on) == ("not_found", "")
        return
    nearest = {n for n, distance in distances.items() if distance == min(distances.values())}
    assert found.status == ("confirmed" if cited in nearest else "not_found")
    assert int(found.found_on.removeprefix("file page ")) in nearest


def also(value: str, unit: str) -> dict[str, str]:
    return {"also_value": value, "also_unit": unit}


@pytest.mark.parametrize(
    ("table", "cells", "answer"),
    [
        ("towing_limit", {"value": "65", "unit": "mph"}, "yes"),
        ("towing_limit", {"value": "65", "unit": "mph", **also("105", "km/h")}, "yes"),
        ("towing_limit", {"value": "65", "unit": "mph", **also("104", "km/h")}, "no"),
        ("towing_limit", {"value": "66", "unit": "mph"}, "no"),
        ("towing_limit", {"value": 65, "unit": "mph"}, "yes"),
        ("towing_limit", {"value": Decimal(65), "unit": "mph"}, "yes"),
        ("towing_limit", {"stated": "unlimited"}, "not_applicable"),
        ("towing_limit", {"value": None, "unit": ""}, "not_applicable"),
        ("towing_limit", {"value": "sixty", "unit": "mph"}, "no"),
        ("fuse_pull", {"rating_a": "15"}, "yes"),
        ("fuse_pull", {"rating_a": "65"}, "no"),
        ("equipment_fit", {"tow_point_height": "15.5", "unit": "in"}, "yes"),
        ("towing_rule_term", {"value": "30", "unit": "ft"}, "yes"),
        ("towing_rule_term", {"test_speed": "20", "test_speed_unit": "mph"}, "no"),
        ("vehicle_group", {"model_year_from": "2022"}, "not_applicable"),
        ("vehicle_property", {"property": "rear_lamps", "word": "combined_turn"}, "not_applicable"),
    ],
)  # fmt: skip
def test_all_figures_of_a_row_are_looked_for(
    table: str, cells: dict[str, Any], answer: str
) -> None:
    quote = "65 mph (105 km/h), fuse of 15 A, 15.5 in above the road, stop in 30 ft"
    rows = [(table, {"source_id": "s", "locator": "p. 1", "quote": quote, **cells})]
    assert confirm(rows, {})[0].value_in_quote == answer


# ---------------------------------------------------------------- which rows, which documents


def test_every_table_with_a_citation_is_looked_up() -> None:
    cells = {"source_id": "s", "locator": "p. 1", "quote": "may be towed"}
    rows = [(name, {table.key: "a", **cells}) for name, table in contract().tables.items()]
    found = confirm(rows, {"s": Pages(Shelf(SENTENCE))})
    assert [each.table for each in found] == [n for n in contract().tables if n != "source"]
    assert {(each.key, each.status) for each in found} == {("a", "confirmed")}


def test_common_practice_cites_nothing_and_a_withdrawn_source_counts() -> None:
    practice = (
        "general_step",
        {"general_step_id": "a", "basis": "common_practice", "source_id": None},
    )
    withdrawn = ("source", {"source_id": "s", "withdrawn_on": "2025-01-01"})
    found = confirm([practice, withdrawn, row("may be towed")], {"s": Pages(Shelf(SENTENCE))})
    assert [each.status for each in found] == ["confirmed"]


def test_an_unknown_table_is_refused() -> None:
    with pytest.raises(UsageError, match="no table 'tow'"):
        confirm([("tow", {"source_id": "s"})], {})


@pytest.mark.parametrize("name", ["../secret", "/etc/passwd", "..\\secret", "a\0b", "secret.txt"])
def test_a_name_in_a_row_opens_no_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    (tmp_path / "in").mkdir()
    for secret in (tmp_path / "secret", tmp_path / "in" / "secret.txt"):
        secret.write_text(SENTENCE)
    monkeypatch.chdir(tmp_path / "in")
    other = {"s": tmp_path / "secret"}
    (tmp_path / "secret").write_text(f"other\f{SENTENCE}")
    rows = [row("may be towed", source_id=name, file_name=name), row("may be towed", name)]
    assert [each.status for each in confirm(rows, other)] == ["no_document", "page_missing"]


def test_one_file_is_opened_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path, opened = pdf(tmp_path / "a.pdf", lines(SENTENCE)), []

    def counted(document: Path) -> Pages:
        opened.append(document)
        return read_pages(document)

    monkeypatch.setattr(module, "read_pages", counted)
    rows = [row("may be towed", source_id=source) for source in "ababab"]
    rows += [row("may be towed", source_id="gone")] * 2
    found = confirm(rows, {"a": path, "b": path, "gone": tmp_path / "gone"})
    assert [each.status for each in found] == ["confirmed"] * 6 + ["no_document"] * 2
    assert opened == [path, tmp_path / "gone"]


def test_each_of_two_thousand_pages_is_read_at_most_once() -> None:
    texts = [f"page {n} tells of bar {n}" for n in range(2000)]
    there, elsewhere = Shelf(*texts), Shelf(*texts)
    rows = [row(f"tells of bar {n}", f"p. {n + 1}") for n in (3, 700, 1999)] * 20
    assert summary(confirm(rows, {"s": Pages(there)})).share == 1
    assert sorted(there.reads) == [("text", n) for n in (3, 700, 1999)]
    rows += [row(f"tells of bar {n}", "p. 5") for n in range(0, 2000, 50)]
    rows += [row(f"tells of bar {n}", "p. 9999") for n in range(2000, 2020)]
    confirm(rows, {"s": Pages(elsewhere)})
    assert len(elsewhere.reads) == len(set(elsewhere.reads))
    assert {number for _, number in elsewhere.reads} == set(range(2000))


def place(page: pypdf.PageObject) -> int:
    """Where in the file a page is; its `page_number` is counted again at each call."""
    assert page.indirect_reference is not None
    return page.indirect_reference.idnum


def test_each_page_of_a_long_pdf_is_read_at_most_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = pdf(tmp_path / "a.pdf", *[lambda canvas: None] * 2000)
    numbers = {place(page): number for number, page in enumerate(pypdf.PdfReader(path).pages)}
    reads: list[tuple[int, str]] = []

    def counted(page: pypdf.PageObject, extraction_mode: str = "plain") -> str:
        number = numbers[place(page)]
        reads.append((number, extraction_mode))
        return f"page {number} tells of towing"

    monkeypatch.setattr(pypdf.PageObject, "extract_text", counted)
    [found] = confirm([row("page 1500 tells of", "p. 1501")], {"s": path})
    assert found.status == "confirmed"
    assert reads == [(1500, "plain")]
    reads.clear()
    rows = [
        row(f"page {n} tells of", f"p. {n + at}") for n in range(0, 1990, 7) for at in (1, 2, 5)
    ]
    found_all = confirm(rows, {"s": path})
    assert [each.status for each in found_all[:3]] == ["confirmed", "not_found", "not_found"]
    assert len(reads) == len(set(reads))


# ---------------------------------------------------------------- the whole


STATUS = st.sampled_from(list(STATUSES))


@given(st.lists(st.tuples(STATUS, st.sampled_from(["yes", "no", "not_applicable"]))))
def test_the_summary_counts(drawn: list[tuple[str, str]]) -> None:
    found = [Evidence("coach", "a", "s", "p. 1", status, "", value, "") for status, value in drawn]
    counted = summary(iter(found))
    assert (counted.rows, sum(counted.counts.values())) == (len(found), len(found))
    assert list(counted.counts) == list(STATUSES)
    confirmed = sum(status == "confirmed" for status, _ in drawn)
    opened = sum(status != "no_document" for status, _ in drawn)
    assert counted.share == (confirmed / len(drawn) if drawn else None)
    assert counted.share_of_documents == (confirmed / opened if opened else None)
    assert counted.values_missing == sum(value == "no" for _, value in drawn)


def test_findings_say_what_is_wrong_and_what_to_do() -> None:
    found = [
        Evidence("coach", "a", "s", "p. 1", status, "p. 2", "yes", "odd") for status in STATUSES
    ]
    said = {finding.message: finding for finding in findings(found)}
    assert [each.severity for each in said.values()] == ["error", "error", "warning", "warning"]
    for status, (message, finding) in zip(list(STATUSES)[1:], said.items(), strict=True):
        assert message == f"s, p. 1: {STATUSES[status]}; it is on p. 2; odd"
        assert (finding.table, finding.key, finding.rule) == (
            "coach",
            "a",
            "quotes_stand_on_their_page",
        )
    [figure] = findings([Evidence("coach", "a", "s", "p. 1", "confirmed", "p. 1", "no", "")])
    assert (figure.rule, figure.severity) == ("figures_stand_in_their_quote", "warning")


# ---------------------------------------------------------------- the demo


@pytest.fixture(scope="module")
def rows() -> list[tuple[str, dict[str, str]]]:
    found = []
    for table in contract().tables:
        with (DEMO / "reference" / f"{table}.csv").open(encoding="utf-8", newline="") as file:
            found += [(table, cells) for cells in csv.DictReader(file)]
    return found


@pytest.fixture(scope="module")
def manuals() -> dict[str, Path]:
    return {path.stem: path for path in sorted((DEMO / "manuals").glob("*.pdf"))}


@pytest.fixture(scope="module")
def demo(rows: list[tuple[str, dict[str, str]]], manuals: dict[str, Path]) -> list[Evidence]:
    return confirm(rows, manuals)


def test_every_quote_of_a_printed_document_stands_on_its_page_but_the_planted(
    rows: list[tuple[str, dict[str, str]]], manuals: dict[str, Path], demo: list[Evidence]
) -> None:
    planted = {(miss.source_id, miss.locator, miss.quote): miss for miss in demo_pages.PLANTED}
    cited = [cells for table, cells in rows if table != "source" and cells["source_id"]]
    met = set()
    for cells, found in zip(cited, demo, strict=True):
        where = (cells["source_id"], cells["locator"], cells["quote"])
        miss = planted.get(where)
        if miss:
            met.add(where)
        expected = miss.status if miss else "confirmed"
        assert found.status == (expected if cells["source_id"] in manuals else "no_document")
        if found.status == "confirmed":
            number = cells["locator"].removeprefix("p. ")
            # A bulletin has the pages 1 and 2, which needs no labels.
            assert found.found_on in (f"p. {number}", f"file page {number}")
    assert met == planted.keys()
    assert len({miss.how for miss in planted.values()}) == len(planted)


def test_the_owners_manuals_are_confirmed_but_for_the_planted(
    rows: list[tuple[str, dict[str, str]]], demo: list[Evidence]
) -> None:
    kinds = {cells["source_id"]: cells["kind"] for table, cells in rows if table == "source"}
    of_manuals = summary(each for each in demo if kinds[each.source_id] == "owner_manual")
    assert of_manuals.counts["no_document"] == 0
    assert of_manuals.rows - of_manuals.counts["confirmed"] == len(demo_pages.PLANTED)
    assert of_manuals.values_missing == 0


def test_a_naive_reader_agrees_with_the_demo(
    rows: list[tuple[str, dict[str, str]]], manuals: dict[str, Path], demo: list[Evidence]
) -> None:
    """Letters and digits only, blanks dropped: what is confirmed must be there even so."""
    bare = {}
    for source, path in manuals.items():
        reader = pypdf.PdfReader(path)
        for label, page in zip(reader.page_labels, reader.pages, strict=True):
            bare[source, f"p. {label}"] = re.sub(r"\W", "", page.extract_text()).casefold()
    cited = [cells for table, cells in rows if table != "source" and cells["source_id"]]
    for cells, found in zip(cited, demo, strict=True):
        if found.status == "confirmed":
            rest = bare[cells["source_id"], cells["locator"]]
            for part in filter(str.strip, cells["quote"].split("…")):
                _, stands_there, rest = rest.partition(re.sub(r"\W", "", part).casefold())
                assert stands_there


def test_the_manuals_are_small_invented_and_what_is_written(manuals: dict[str, Path]) -> None:
    written = demo_pages.printed()
    assert written == {source: path.read_bytes() for source, path in manuals.items()}
    assert sum(map(len, written.values())) < 300_000
    scanned = {
        (miss.source_id, miss.locator)
        for miss in demo_pages.PLANTED
        if miss.status == "no_text_layer"
    }
    documents = {document.source_id: document for document in DOCUMENTS}
    for source, path in manuals.items():
        pages = read_pages(path)
        places = demo_pages.file_pages(documents[source])
        assert list(places.values()) == list(range(1, pages.count + 1))
        for locator, number in places.items():
            assert pages.named(locator).numbers == (number,)
            text = " ".join(pages.text(number).split())
            assert ("Invented: no such document exists." in text) == (
                (source, locator) not in scanned
            )


def test_every_owners_manual_is_printed(manuals: dict[str, Path]) -> None:
    wanted = {d.source_id for d in DOCUMENTS if d.kind in demo_pages.PRINTED_KINDS}
    assert manuals.keys() == wanted
    assert {"owner_manual", "manual_supplement", "technical_bulletin"} <= demo_pages.PRINTED_KINDS
