"""`draft_mapping`: a mapping file for somebody else's inventory, for a person to finish.

Only lines that name and cells leave no doubt about are in effect; the rest are comments.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from towdb.contract.grammar import Fault, fold
from towdb.contract.model import Field, contract
from towdb.contract.typed import typed_cell
from towdb.duck.connections import connect, settle, spilling
from towdb.errors import UsageError
from towdb.intake.candidates import load_candidates
from towdb.intake.cells import weight_of
from towdb.intake.column_forms import with_unit
from towdb.intake.headers import ColumnMap
from towdb.intake.one_file import reading_errors
from towdb.inventory.draft_columns import Proposal, TheirColumn, proposals, their_columns
from towdb.invisible import has_unseen

_HEAD = """\
# A draft: what each column of {name} may mean ({rows:,} row(s) were read).
# Lines in effect are those that name and cells leave no doubt about. Every other line is a comment:
# look at the source of the file, then remove the '#' of the one line that is right, or leave all.
# A column that no line names is left aside, unless its own name is one of ours. Then run:
#   towdb inventory check FILE --map THIS_FILE
"""
_WORDS = """\
# Their word = our word, for words that were not recognised; "" leaves the cell empty: unknown,
# which never permits anything. Where you know the word, remove the '#' and write it.
"""
# Characters of a text that are shown in a comment.
_SHOWN = 60
_SENTENCE = 300
_EXAMPLES = 3


def draft_mapping(inventory: Any) -> str:
    """Draft a mapping file for an inventory: headers, units, orders of dates and words.

    Parameters
    ----------
    inventory : path, DataFrame, Arrow table or DuckDB relation
        As `towdb.check_inventory` takes it.

    Returns
    -------
    str
        A mapping file (TOML). What is not certain is a comment.

    Raises
    ------
    UsageError
        If the inventory cannot be read.
    """
    if inventory is None:
        raise UsageError("name an inventory: a path, a DataFrame or a DuckDB relation")
    with connect() as con:
        settle(con, [spilling()])
        loaded = load_candidates(con, inventory, ColumnMap("", takes_none=True), whole=True)
        with reading_errors(loaded.name):
            columns = their_columns(con, loaded)
            ((rows,),) = con.execute("SELECT COUNT(*) FROM inventory_rows").fetchall()
    head = _HEAD.format(name=_text(loaded.name), rows=rows)
    return "\n".join([head, *_notes(loaded.notes, loaded.ragged), *_body(columns), ""])


def _notes(notes: list[str], ragged: int) -> Iterator[str]:
    for note in notes:
        if "left aside: " not in note or ", no CSV" in note:
            yield f"# {_sentence(note)}"
    if ragged:
        yield f"# {ragged:,} row(s) with more or fewer cells than their header are not counted"


def _body(columns: list[TheirColumn]) -> Iterator[str]:
    alike = Counter(fold(each.header) for each in columns)
    offered = [(each, proposals(each, False)) for each in columns]
    has_row_units = any(
        proposal.column == "weight_unit" and not proposal.why
        for _, several in offered
        for proposal in several
    )
    if has_row_units:
        offered = [(each, proposals(each, True)) for each in columns]
    certain = Counter(
        several[0].column
        for _, several in offered
        if len(several) == 1 and several[0].column and not several[0].why
    )
    yield "[columns]"
    words: dict[str, list[TheirColumn]] = {}
    for theirs, several in offered:
        doubt = ""
        if alike[fold(theirs.header)] > 1:
            doubt = "its header appears twice: rename one, because a mapping cannot name both"
        elif len(several) == 1 and certain[several[0].column] > 1:
            doubt = f"more than one column may be {several[0].column}; keep one of them"
        yield from _column_lines(theirs, several, doubt, certain)
        for column in dict.fromkeys(proposal.column for proposal in several):
            words.setdefault(column, []).append(theirs)
    yield from _missing(offered)
    yield from _words(words)


def _column_lines(
    theirs: TheirColumn, several: list[Proposal], doubt: str, certain: Counter[str]
) -> Iterator[str]:
    if not several:
        yield f'# {_text(theirs.header)} = ""  # name not recognised: {_examples(theirs)}'
        return
    for proposal in several:
        value = _text(proposal.column)
        if proposal.more:
            pairs = {"column": proposal.column, **proposal.more}
            value = f"{{ {', '.join(f'{key} = {_text(text)}' for key, text in pairs.items())} }}"
        line = f"{_text(theirs.header)} = {value}"
        why = doubt or proposal.why
        if proposal.why and certain[proposal.column]:
            why += f" A column above or below is {proposal.column} already."
        yield f"# {line}  # {why} {_examples(theirs)}" if why else line


def _examples(theirs: TheirColumn) -> str:
    if not theirs.words:
        return "(empty in every car)"
    shown = ", ".join(_shown(text) for text, _ in theirs.words[:_EXAMPLES])
    return f"({theirs.count('cars'):,} car(s), {theirs.count('texts'):,} text(s), such as {shown})"


def _missing(offered: list[tuple[TheirColumn, list[Proposal]]]) -> Iterator[str]:
    present = {proposal.column for _, several in offered for proposal in several}
    without = [name for name in contract().candidate.columns if name not in present]
    if without:
        yield ""
        yield "# No column was found that may be one of these columns of ours:"
        for at in range(0, len(without), 6):
            yield f"#   {', '.join(without[at : at + 6])}"


def _words(columns: dict[str, list[TheirColumn]]) -> Iterator[str]:
    is_first = True
    for name in contract().candidate.columns:
        lines: dict[str, str] = {}
        for theirs in columns.get(name, ()):
            for text, line in _word_lines(name, theirs):
                # Two columns may be this one, but a key can be only once in a table.
                lines.setdefault(text, line)
        if not lines:
            continue
        if is_first:
            yield f"\n{_WORDS}"
            is_first = False
        yield from (f"[words.{name}]", *lines.values(), "")


def _word_lines(name: str, theirs: TheirColumn) -> Iterator[tuple[str, str]]:
    """The texts of a column that has words, or that cannot be read, folded, each with its line."""
    spec = contract().candidate.field(name)
    if spec.type in ("text", "text_list", "id", "ids"):
        return
    for text, cars in theirs.words:
        found = _read(spec, text)
        if isinstance(found, Fault):
            why = _sentence(f"{cars:,} car(s): {found.message}")
            yield fold(text), f'# {_text(fold(text))} = ""  # {why}'
        elif spec.type in ("word", "yes_no"):
            yield fold(text), f"# {_shown(text)} is read as {found} ({cars:,} car(s))"
    more = theirs.count("texts") - len(theirs.words)
    if more and spec.type in ("word", "yes_no"):
        yield "", f"# … and {more:,} more text(s), each of fewer cars"


def _read(spec: Field, text: str) -> object:
    """What a cell means by itself; what a unit or an order of dates would settle is not a fault."""
    if spec.type == "weight":
        is_bare = with_unit(text, "lb") != text
        return None if is_bare else weight_of(spec.name, text, "")
    if spec.type in ("date", "day_or_month") and text[:1].isdigit():
        return None
    return typed_cell(spec, text)


def _shown(text: str) -> str:
    """A text for a comment, cut where it is long."""
    return _text(text if len(text) <= _SHOWN else text[: _SHOWN - 1] + "…")


def _sentence(text: str) -> str:
    """The same without quotes, longer."""
    return _text(text[:_SENTENCE]).removeprefix('"').removesuffix('"')


def _text(text: str) -> str:
    """A text as TOML writes it, with every character that cannot be seen by its number."""
    escaped = ""
    for char in text:
        if char in '"\\':
            escaped += f"\\{char}"
        elif has_unseen(char) or char in "\n\t":
            escaped += f"\\U{ord(char):08X}"
        else:
            escaped += char
    return f'"{escaped}"'
