"""Random folders: valid ones pass; one changed cell is found where it stands, or does no harm."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st

import towdb
from tests.helpers.folders import Row
from tests.helpers.random_folders import FREE, FREE_WORDS, TEXTS, Tables, folders, free_value, write
from tests.helpers.tier import by_tier
from towdb.contract.frames import CELL_RULES
from towdb.contract.model import Field, Word, contract
from towdb.reference.check import CheckResult

# Each step of shrinking would cost a check, and a failure names its one cell without.
BRIEF = settings(
    max_examples=by_tier(quick=8, whole=35), phases=[Phase.explicit, Phase.reuse, Phase.generate]
)


@dataclass(frozen=True)
class Cell:
    """One filled cell of a folder."""

    tables: Tables
    table: str
    row: int
    field: Field

    @property
    def cells(self) -> Row:
        return self.tables[self.table][self.row]

    @property
    def text(self) -> str:
        return self.cells[self.field.name]

    @property
    def required(self) -> bool:
        return self.field.name in contract().tables[self.table].required

    @property
    def is_key(self) -> bool:
        return self.field.name == contract().tables[self.table].key

    @property
    def demanded(self) -> Word | None:
        """What the property or quantity of the row demands."""
        vocabulary = {"towing_limit": "limit_quantity", "towing_rule_term": "rule_quantity"}
        name = self.cells.get("property") or self.cells.get("quantity")
        words = contract().vocabularies[vocabulary.get(self.table, "property")].words
        return words[name] if name else None


@st.composite
def filled_cells(draw: st.DrawFn) -> Cell:
    """A filled cell of a random folder, each filled column as likely as any other."""
    tables = draw(folders() | folders(everything=True))
    columns = [
        (name, field)
        for name, rows in tables.items()
        for field in contract().tables[name].fields
        if any(row[field.name] for row in rows)
    ]
    table, field = draw(st.sampled_from(columns))
    rows = [number for number, row in enumerate(tables[table]) if row[field.name]]
    return Cell(tables, table, draw(st.sampled_from(rows)), field)


Change = Callable[[Cell], str | None]

# ---------------------------------------------------------------- what one cell gives away

WRONG = {
    "id": ["Quillon", "two words", "a_b", "x" * 81],
    "ids": ["a, a", "a,,b", "A"],
    "number": [
        "inf", "nan", "-0", "1e9", "1e3", "007", "1,000", "1 000", "5 lb", "+5", ".5", "5.",
        "1.0000001", "1000000000", "٣", "half",
    ],
    "integer": ["1.0", "+1", "01", "two", "1e1", "-0", "1000000000"],
    "date": [
        "2025-02-30", "14.03.2025", "2025-3-14", "1799-12-31", "2201-01-01", "20250314",
        "2025-03-14T00:00", "2025-W11-5", "today",
    ],
    "word": ["No Such Word", "no/such/word", "x" * 81],
    "words": ["| a", "a |", "not", "a | a", "any | a", "not any", "not not a"],
    "word_list": ["no_such_word", "a,,b"],
    "text_list": ["a,,b", "a, A", ",a", "a,"],
    "yes_no": ["Yes", "y", "true", "1", "maybe"],
    "text": [],
}  # fmt: skip


def _of_type(type: str, wrong: str) -> Change:
    return lambda cell: wrong if cell.field.type == type else None


def _vocabulary_of(cell: Cell, *types: str) -> str | None:
    name = cell.field.vocabulary
    closed = name and not contract().vocabularies[name].is_open
    return name if closed and cell.field.type in types else None


def _unknown(cell: Cell) -> str | None:
    return "no_such_word" if _vocabulary_of(cell, "word", "words") else None


def _capitals(cell: Cell) -> str | None:
    name = _vocabulary_of(cell, "word", "words")
    if not name or cell.text.upper() == cell.text:
        return None
    return None if cell.text.upper() in contract().vocabularies[name].words else cell.text.upper()


def _alias(cell: Cell) -> str | None:
    name = _vocabulary_of(cell, "word", "words", "word_list")
    vocabulary = contract().vocabularies[name] if name else None
    return next(iter(vocabulary.aliases), None) if vocabulary else None


def _below(cell: Cell) -> str | None:
    minimum = cell.field.minimum
    return None if minimum is None or cell.field.type == "date" else str(minimum - 1)


def _above(cell: Cell) -> str | None:
    maximum = cell.field.maximum
    return None if maximum is None or cell.field.type == "date" else str(maximum + 1)


def _of_another_row(cell: Cell) -> str | None:
    rows = cell.tables[cell.table]
    return rows[cell.row - 1][cell.field.name] if cell.is_key and len(rows) > 1 else None


IN_THE_CELL: dict[str, Change] = {
    "space before": lambda cell: " " + cell.text,
    "space after": lambda cell: cell.text + " ",
    "line end after": lambda cell: cell.text + "\n",
    "wide space after": lambda cell: cell.text + "\u00a0",
    "white space alone": lambda _: " ",
    "invisible mark": lambda cell: "\u200b" + cell.text,
    "mark that turns text round": lambda cell: cell.text + "\u202e",
    "control character": lambda cell: cell.text + "\x07",
    "too long": lambda cell: "x" * (cell.field.max_length + 1) if cell.field.max_length else None,
    "emptied": lambda cell: "" if cell.required else None,
    "unknown word": _unknown,
    "in capitals": _capitals,
    "alias": _alias,
    "below its range": _below,
    "above its range": _above,
    "not of its pattern": lambda cell: cell.text.upper() + "0" if cell.field.pattern else None,
} | {
    f"{type} {wrong!r}": _of_type(type, wrong) for type, texts in WRONG.items() for wrong in texts
}  # fmt: skip

# ---------------------------------------------------------------- what only other cells give away


def _nowhere(cell: Cell) -> str | None:
    if not contract().references(cell.field, contract().tables[cell.table]):
        return None
    return f"{cell.text}, no-such-row" if cell.field.type == "ids" else "no-such-row"


def _backward(cell: Cell) -> str | None:
    first = {
        "model_year_to": "model_year_from", "built_to": "built_from",
        "effective_to": "effective_from", "withdrawn_on": "published_on",
        "checked_on": "entered_on",
    }.get(cell.field.name)  # fmt: skip
    if not first or not cell.cells[first]:
        return None
    if cell.field.type == "date":
        return (date.fromisoformat(cell.cells[first]) - timedelta(1)).isoformat()
    year = int(cell.cells[first]) - 1
    return str(year) if year >= 1900 else None


def _one_more(cell: Cell) -> str | None:
    counts = ("steps_before", "steps_en_route", "steps_after", "fuse_pulls", "limits")
    return str(int(cell.text) + 1) if cell.field.name in counts else None


def _other_dimension(cell: Cell) -> str | None:
    if cell.field.vocabulary != "unit" or cell.table == "procedure_step":
        return None
    return "kg" if contract().units[cell.text].dimension != "mass" else "V"


def _half_emptied(cell: Cell) -> str | None:
    """Half of what stands together: a figure and its unit, who checked and when."""
    together = {"checked_by", "checked_on"} if cell.cells["checked_by"] else set()
    for field in contract().tables[cell.table].fields:
        if field.unit_in:
            together |= {field.name, field.unit_in}
    return "" if cell.field.name in together else None


def _emptied_for_its_row(cell: Cell) -> str | None:
    name, word = cell.field.name, cell.demanded
    always = {"to_position", "printed_no", "slot", "date_value", "times_measured_as"}
    citation = {"source_id", "locator", "quote"} if cell.cells.get("basis") == "cited" else set()
    only_word = name == "word" and word and not word.dimension
    return "" if name in always | citation or only_word else None


def _other_word(cell: Cell) -> str | None:
    word = cell.demanded
    if cell.field.name != "word" or not word:
        return None
    if word.value == "rule":
        return "no_such_rule"
    assert word.vocabulary
    return None if contract().vocabularies[word.vocabulary].is_open else "no_such_word"


def _of_another_table(cell: Cell) -> str | None:
    words = contract().vocabularies["property"].words.values()
    if cell.field.name != "property":
        return None
    return next(word.name for word in words if cell.table not in word.tables)


def _by_itself(cell: Cell) -> str | None:
    key = cell.cells[contract().tables[cell.table].key]
    return key if cell.field.name in ("overrides", "same_steps_as") else None


def _for_any_purpose(cell: Cell) -> str | None:
    permitted = cell.cells.get("permission") == "permitted"
    return "any" if permitted and cell.field.name == "purpose" else None


def _silent(cell: Cell) -> str | None:
    stepped = {row["eligibility_id"] for row in cell.tables["procedure_step"]}
    if cell.field.name == "permission" and cell.cells["eligibility_id"] in stepped:
        return "not_addressed"
    return None


def _on_no_fuse(cell: Cell) -> str | None:
    if cell.table != "fuse_pull" or cell.field.name != "procedure_step_id":
        return None
    steps = cell.tables["procedure_step"]
    return next((s["procedure_step_id"] for s in steps if s["component"] != "fuse"), None)


def _compared_otherwise(cell: Cell) -> str | None:
    as_word = cell.text in ("is", "is_not")
    return ("<" if as_word else "is") if cell.field.name == "operator" else None


def _on_practice(cell: Cell) -> str | None:
    other = cell.table != "general_step" and cell.field.name == "basis"
    return "common_practice" if other else None


def _measured(cell: Cell) -> str | None:
    other = not cell.table.endswith("_property") and cell.field.name == "basis"
    return "measured" if other else None


def _the_same_day(cell: Cell) -> str | None:
    same = cell.field.name == "checked_by" and cell.cells["checked_on"] == cell.cells["entered_on"]
    return cell.cells["entered_by"].upper() if same else None


BY_OTHER_CELLS: dict[str, Change] = {
    "another row's key": _of_another_row,
    "id of nothing": _nowhere,
    "backward": _backward,
    "one more": _one_more,
    "a gap": lambda cell: "999" if cell.field.name == "step_no" else None,
    "unit of another dimension": _other_dimension,
    "half emptied": _half_emptied,
    "emptied, and this row needs it": _emptied_for_its_row,
    "word of another vocabulary": _other_word,
    "property of another table": _of_another_table,
    "a statement about itself": _by_itself,
    "a permission for any purpose": _for_any_purpose,
    "silent, yet with steps": _silent,
    "a fuse pulled in another step": _on_no_fuse,
    "compared otherwise": _compared_otherwise,
    "on practice": _on_practice,
    "measured": _measured,
    "checked by oneself the same day": _the_same_day,
    "no such part": lambda cell: "no_such_part" if cell.field.name == "only_if" else None,
}


@contextmanager
def checked(tables: Tables) -> Iterator[tuple[CheckResult, dict[str, list[int]]]]:
    """The findings on a folder, and the line of each of its rows."""
    with tempfile.TemporaryDirectory() as target:
        lines = write(tables, Path(target))
        yield towdb.check(target), lines


def replaced(cell: Cell, text: str) -> Tables:
    """The folder with that one cell changed."""
    rows = [dict(row) for row in cell.tables[cell.table]]
    rows[cell.row][cell.field.name] = text
    return Tables({**cell.tables, cell.table: rows})


def errors(result: CheckResult) -> list[tuple[str, int | None, str | None]]:
    return [(f.file, f.line, f.column) for f in result.found if f.severity == "error"]


@settings(BRIEF, max_examples=by_tier(quick=8, whole=30))
@given(folders() | folders(everything=True))
def test_a_valid_folder_passes(tables: Tables) -> None:
    with checked(tables) as (result, _):
        assert errors(result) == []
        assert result.ok


@BRIEF
@given(st.data())
def test_a_mutated_cell_is_found_where_it_stands(data: st.DataObject) -> None:
    cell = data.draw(filled_cells())
    by_others, in_the_cell = (
        {name: text for name, change in kind.items() if (text := change(cell)) is not None}
        for kind in (BY_OTHER_CELLS, IN_THE_CELL)
    )
    # What gives itself away is tried on every field below, so here the rules have priority.
    priority = data.draw(st.integers(0, 3)) > 0
    wrong = by_others if by_others and priority else in_the_cell
    name = data.draw(st.sampled_from(sorted(wrong)), label="mutation")
    with checked(replaced(cell, wrong[name])) as (result, lines):
        place = (f"{cell.table}.csv", lines[cell.table][cell.row], cell.field.name)
        assert place in errors(result)


# ---------------------------------------------------------------- what does no harm


def _longer(draw: st.DrawFn, cell: Cell) -> str | None:
    if cell.field.type != "number":
        return None
    whole, _, decimals = cell.text.partition(".")
    zeros = draw(st.integers(1, 6))
    return f"{whole}.{(decimals + '0' * zeros)[:6]}"


def _another(draw: st.DrawFn, cell: Cell) -> str | None:
    if cell.field.name in FREE[cell.table].split():
        return free_value(draw, cell.field)
    if (
        cell.field.name in ("locator", "quote")
        or cell.table + cell.field.name == "general_steptext"
    ):
        return draw(st.sampled_from(TEXTS))
    if cell.field.name in ("trim", "engine"):
        return draw(st.sampled_from(FREE_WORDS))
    return None


def _somebody(_: st.DrawFn, cell: Cell) -> str | None:
    return {"entered_by": "Ottis Vane", "checked_by": "Maren Huld"}.get(cell.field.name)


def _emptied(_: st.DrawFn, cell: Cell) -> str | None:
    return "" if cell.field.name in FREE[cell.table].split() and not cell.required else None


def _turned(_: st.DrawFn, cell: Cell) -> str | None:
    ids = [text.strip() for text in cell.text.split(",")]
    return ",".join(ids[::-1]) if cell.field.type == "ids" else None


def _later(_: st.DrawFn, cell: Cell) -> str | None:
    return "2099-12-31" if cell.field.name == "checked_on" else None


HARMLESS = (_longer, _another, _somebody, _emptied, _turned, _later)


@st.composite
def harmless_texts(draw: st.DrawFn, cell: Cell) -> dict[str, str]:
    """What may stand in a cell instead, by the kind of change."""
    texts = {change.__name__: change(draw, cell) for change in HARMLESS}
    return {name: text for name, text in texts.items() if text is not None}


@BRIEF
@given(st.data())
def test_a_harmless_change_is_let_pass(data: st.DataObject) -> None:
    cell = data.draw(filled_cells())
    possible = data.draw(harmless_texts(cell))
    assume(possible)
    name = data.draw(st.sampled_from(sorted(possible)), label="change")
    with checked(replaced(cell, possible[name])) as (result, _):
        assert errors(result) == []
        assert result.ok


# ---------------------------------------------------------------- every field


@settings(BRIEF, max_examples=1)
@given(folders(everything=True))
def test_every_field_refuses_every_wrong_text(tables: Tables) -> None:
    swollen = Tables({table: list(rows) for table, rows in tables.items()})
    expected: set[tuple[str, int, str]] = set()
    for name, change in IN_THE_CELL.items():
        for table in contract().tables:
            expected |= _plant(tables, swollen[table], table, name, change)
    with checked(swollen) as (result, lines):
        found = {
            (f.table, f.line, f.column)
            for f in result.found
            if f.rule in {*CELL_RULES, "required", "unique"}
        }
        assert found == {(table, lines[table][row], column) for table, row, column in expected}


def _plant(
    tables: Tables, rows: list[Row], table: str, name: str, change: Change
) -> set[tuple[str, int, str]]:
    """Append copies of rows in which every field is changed in one way; where the faults are."""
    spec = contract().tables[table]
    copies: dict[int, int] = {}
    planted = set()
    for field in spec.fields:
        first = next(n for n, row in enumerate(tables[table]) if row[field.name])
        text = change(Cell(tables, table, first, field))
        if text is None:
            continue
        if first not in copies:
            copies[first] = len(rows)
            rows.append({**tables[table][first], spec.key: f"copy-{len(rows)}"})
        rows[copies[first]][field.name] = text
        planted.add((table, copies[first], field.name))
    # The first filled row of a column exists for each: else a field would go untried.
    assert name != "space before" or len(planted) == len(spec.fields)
    return planted
