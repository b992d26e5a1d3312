"""Guidance for the person who types: a note on every column, and the first sheet."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from towdb.contract.grammar import fault, fold
from towdb.contract.model import Field, Vocabulary, contract
from towdb.invisible import has_unseen
from towdb.record.workbook.cells import known_words
from towdb.record.workbook.layout import DEFAULTS, SHOWN, Layout, layout

# For a longer vocabulary the drop-down is enough.
_MOST_WORDS = 12

# Characters of a line of the first sheet.
_LINE = 118

_FORMS = {
    "id": "an id: a to z, 0 to 9, hyphen, full stop",
    "ids": "ids, separated by commas",
    "text": "text, as printed",
    "text_list": "texts, separated by commas",
    "word": "one word of the list",
    "word_list": "words of the list, separated by commas",
    "words": "any  or  a  or  a | b  or  not a  or  empty",
    "number": "a figure, digits only",
    "integer": "a whole number",
    "date": "a date: year-month-day",
    "yes_no": "yes or no",
}

TYPING = (
    "One sheet is one table, one row is one fact. Point at a column's name to read what the column"
    " means, with a right and a wrong example.",
    "Columns with a dark name must be filled. Columns with a pale name may stay empty.",
    "Type a figure as printed, digits only: 4400, not 4,400 lb. Its unit has a column of its own."
    " The cells are text, so that 3-4 does not become a date; a green corner in a cell is all"
    " right.",
    "Choose from the list of a cell, or type. Any case will do, and so will short forms such as"
    " {aliases}.",
    "A row is read as typed: no formulas, no merged cells, no hidden rows, no notes, no columns of"
    " your own. Do not sort the sheets. What cannot be read is reported with sheet, row and"
    " column; nothing is left out silently.",
)
SAVING = (
    "Grey columns are the page header. Fill them once, in a row of their own; they apply to the"
    " rows below, until the next such row.",
    "In a page header type only what changes. Cells to the left of your first cell still"
    " apply, cells to its right do not: after a new page type again what its rows belong to.",
    "A grey cell in any other row applies to that row alone, in the same way.",
    "Columns in italics are filled by the tool where you leave them empty: basis is {basis}, steps"
    " are numbered in the order of the rows, and a row gets its id from what it belongs to and"
    " from its own words: marlet-manual-speed-always, marlet-manual-before-3-fuse. Rows inserted"
    " later change no other id. Where two rows would get the same id, type one yourself.",
    "A fuse belongs to a step: write that step's id in the grey cell, as in the second example.",
    "Write any under otherwise, and every cell of the group that you leave empty means any.",
    "Two statements with the same steps: type the steps once, and in the other statement name the"
    " first under same_steps_as. Count only its limits there.",
    "A statement that differs in a step or a limit: copy its rows, put a page header with the new"
    " statement above the copy, and change what differs. Leave the ids empty.",
    "Who types, and when, is given to the command and is not typed in a cell.",
)
# The same wording as in the developers' guide.
PAGES = (
    "The page sets no condition on an attribute: any, or otherwise = any for all the rest. The page"
    " is not clear: leave it empty.",
    '"4WD automatic (2-speed)" in a permission: name the leaves that the manual\'s own words cover;'
    " a broad word is refused there.",
    "A rule and its exception: the rule as printed, and the exception as a statement of its own"
    " with overrides.",
    "Variants (key or button, electric or lever brake): one statement each, with its own group; the"
    " shared steps by same_steps_as.",
    '"Flatbed only": prohibited for the other methods, with that section\'s purpose. "Not'
    ' recommended beyond 50 mi": permitted, with a limit. "Only in an emergency": purpose'
    " emergency. A chapter read and silent: not_addressed, citing its contents or index page.",
    '"Run the engine 5 min every 200 mi": two limits, distance at_most and engine_run at_least,'
    " both between_engine_runs, and an en_route step.",
    "A door label belongs to one car: its group names trim, engine, drivetrain and transmission.",
)
# The rows of two sheets as a person types them.
EXAMPLES = {
    "procedure_step": (
        {
            "source_id": "marlet-om-2022",
            "locator": "p. 214",
            "eligibility_id": "marlet-manual",
            "phase": "before",
        },
        {
            "printed_no": "1",
            "kind": "do",
            "component": "parking_brake",
            "action": "set",
            "quote": "Set the parking brake.",
        },
        {
            "printed_no": "3",
            "kind": "do",
            "component": "fuse",
            "action": "pull",
            "quote": "Pull fuse F12 (15 A) in the dash panel",
        },
        {"phase": "after"},
        {
            "printed_no": "5",
            "kind": "do",
            "component": "transfer_case",
            "action": "shift_to",
            "target": "two_high",
            "quote": "shift the transfer case to 2H",
        },
    ),
    "fuse_pull": (
        {
            "source_id": "marlet-om-2022",
            "locator": "p. 214",
            "procedure_step_id": "marlet-manual-before-3-fuse",
        },
        {
            "action": "pull",
            "device": "fuse",
            "panel": "dash panel",
            "position": "F12",
            "rating_a": "15",
            "restore": "before_engine_start",
            "quote": "Pull fuse F12 (15 A) in the dash panel",
        },
    ),
}


def note(lay: Layout, field: Field) -> str:
    """The note on the name of a column: meaning, form, examples, what empty means."""
    lines = [field.meaning, *_form(field), f"right: {field.good}"]
    # What a folder refuses may be taken here (short forms, capitals, outer blanks), and nobody
    # types what cannot be seen.
    meant = known_words(field, field.bad)
    if fault(field, meant):
        lines += [] if has_unseen(meant) else [f"wrong: {field.bad}"]
    elif fold(meant) != fold(field.bad):
        lines.append(f"also accepted: {field.bad}, as {meant}")
    lines.append(_empty(lay, field))
    if field.name in lay.header:
        lines.append("Grey: part of the page header.")
    return "\n".join(lines)


def how_to() -> Iterator[tuple[str, str]]:
    """The parts of the first sheet: the kind of each (title, head, point, example) and its text."""
    vocabularies = contract().vocabularies.values()
    aliases = ", ".join(next(iter(v.aliases)) for v in vocabularies if v.aliases)
    yield "title", "How to type a page"
    yield "head", "Typing"
    yield from (("point", text.format(aliases=aliases)) for text in TYPING)
    yield "head", "What saves typing"
    yield from (("point", text.format(**DEFAULTS)) for text in SAVING)
    yield from (("example", name) for name in EXAMPLES)
    yield "head", "What to write for what the page says"
    yield from (("point", text) for text in PAGES)
    yield "head", "The sheets"
    for table in contract().tables.values():
        if table.name in SHOWN:
            yield "point", f"{table.name}: {table.meaning}"
    others = [name for name in contract().tables if name not in SHOWN]
    yield "point", f"Hidden, to be shown when they are needed: {', '.join(others)}."


def wrapped(kind: str, text: str) -> list[str]:
    """A text of the first sheet in lines that fit on a screen."""
    if kind != "point":
        return [text]
    return textwrap.wrap(text, _LINE, initial_indent="• ", subsequent_indent="   ")


def example_title(name: str) -> str:
    """The line above an example."""
    return f"For example, on the sheet {name}:"


def how_to_texts() -> frozenset[str]:
    """Every text in a cell of the first sheet."""
    texts: set[str] = set()
    for kind, text in how_to():
        if kind == "example":
            columns, rows = example(text)
            texts |= {example_title(text), *columns, *(c for row in rows for c in row if c)}
        else:
            texts |= set(wrapped(kind, text))
    return frozenset(texts)


def example(name: str) -> tuple[tuple[str, ...], list[tuple[str | None, ...]]]:
    """An example of rows as typed: the columns in the order of the sheet, and the cells."""
    rows = EXAMPLES[name]
    columns = tuple(c for c in layout(name).columns if any(c in row for row in rows))
    return columns, [tuple(row.get(c) for c in columns) for row in rows]


def _form(field: Field) -> Iterator[str]:
    parts = [_FORMS[field.type]]
    if field.unit:
        parts.append(f"in {field.unit}")
    if field.unit_in:
        parts.append(f"its unit is under {field.unit_in}")
    if field.minimum is not None:
        parts.append(f"{field.minimum} to {field.maximum}")
    if field.max_length:
        parts.append(f"at most {field.max_length} characters")
    yield "; ".join(parts)
    if field.vocabulary:
        yield from _words(contract().vocabularies[field.vocabulary])


def _words(vocabulary: Vocabulary) -> Iterator[str]:
    if len(vocabulary.words) <= _MOST_WORDS:
        yield from (f"  {word.name}: {word.meaning}" for word in vocabulary.words.values())
    if vocabulary.is_open:
        yield "Other words are allowed."
    if vocabulary.aliases:
        pairs = [f"{alias} = {word}" for alias, word in vocabulary.aliases.items()]
        yield "short forms: " + ", ".join(pairs[:_MOST_WORDS])


def _empty(lay: Layout, field: Field) -> str:
    if field.name in DEFAULTS:
        return f"Empty: {DEFAULTS[field.name]}."
    if field.name in lay.made:
        return "Empty: made by the tool."
    return "Must be filled." if field.name in lay.table.required else "May stay empty."
