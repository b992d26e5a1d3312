"""Field checks: pandera on frames of text, its report turned into findings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import pandas as pd
from pandera.config import ValidationDepth, config_context
from pandera.errors import SchemaErrors

from towdb.contract.frames import CELL_RULES, MAX_BAD_TEXTS, MAX_LISTED, schema
from towdb.contract.grammar import Fault, fault
from towdb.contract.model import Field
from towdb.errors import Finding
from towdb.reference.folder import TextTable

# The rule of a finding that replaces those not listed.
MORE = "more"
# For each field, so many texts that pandera let pass are remembered.
MAX_PASSED = 2_000
_passed: dict[Field, frozenset[object]] = {}
_NOT_READ = "the rows from line {:,} on were not checked"
_REQUIRED = Fault("required", "empty, and every row needs it", "fill it in from the page")
_UNIQUE = Fault("unique", "another row has the same key", "give each row a key of its own")


def field_findings(text: TextTable) -> list[Finding]:
    """What is wrong with single cells of one table.

    Parameters
    ----------
    text : TextTable
        The table as read.

    Returns
    -------
    list of Finding
        One a cell and rule; of a column with very many, the first, and one that reports the rest.
    """
    whole, text = text, _readable_part(text)
    cases = _failure_cases(text)
    keys = text.frame[text.table.key]
    found = []
    if len(text.frame) < len(whole.frame):
        found.append(_more(text, None, _NOT_READ.format(_line(whole, len(text.frame)))))
    for column, group in cases.groupby("column", sort=False):
        field = text.table.field(str(column))
        values = text.frame[field.name]
        positions, checks = group["position"], group["check"]
        texts = values.iloc[positions[checks.isin(CELL_RULES)]]
        if len(group) > MAX_LISTED or texts.nunique() >= MAX_BAD_TEXTS:
            found.append(_more(text, field.name, "not all cells of this column were checked"))
        for position, check in zip(positions[:MAX_LISTED], checks[:MAX_LISTED], strict=True):
            value = values.iat[position]
            value = value if isinstance(value, str) else None
            wrong = _explain(field, value, str(check))
            key = keys.iat[position]
            found.append(
                Finding(
                    file=text.file,
                    line=_line(text, position),
                    table=text.table.name,
                    key=key if isinstance(key, str) else None,
                    column=field.name,
                    value=value,
                    rule=wrong.rule,
                    severity="error",
                    message=wrong.message,
                    remedy=wrong.remedy,
                )
            )
    return found


def is_cut(found: Iterable[Finding]) -> bool:
    """Whether there are more findings than are listed, so that faulty cells are not all known."""
    return any(finding.rule == MORE for finding in found)


def _readable_part(text: TextTable) -> TextTable:
    """A table up to the row where a person would stop reading, because of empty required cells."""
    ends = [len(text.frame)]
    for column in text.table.required:
        empty = text.frame[column].isna().to_numpy().nonzero()[0]
        ends += empty[MAX_LISTED : MAX_LISTED + 1].tolist()
    return TextTable(text.table, text.file, text.frame.iloc[: min(ends)])


def _line(text: TextTable, position: int) -> int:
    return int(text.frame.index[position])


def _more(text: TextTable, column: str | None, what: str) -> Finding:
    return Finding(
        text.file, None, text.table.name, None, column, None, MORE, "error",
        f"there are so many faults that {what}",
        "correct what is listed and check again; the rules are checked once all cells are good",
    )  # fmt: skip


def _failure_cases(text: TextTable) -> pd.DataFrame:
    cases = pd.DataFrame({"column": [], "check": [], "position": []})
    texts = dict(_worth_checking(text))
    if not texts:
        return cases
    frame = text.frame[[*texts]]
    # Two environment variables turn pandera's checks off or down to column names: a gate that
    # can be opened from outside is useless, so both are set here for the length of the call.
    try:
        with config_context(
            validation_enabled=True, validation_depth=ValidationDepth.SCHEMA_AND_DATA
        ):
            schema(text.table.name, tuple(texts)).validate(frame, lazy=True)
    except SchemaErrors as error:
        rows = pd.Series(range(len(frame)), index=frame.index)
        found = error.failure_cases
        cases = pd.DataFrame(
            {
                "column": found["column"],
                "check": found["check"],
                "position": rows.reindex(found["index"]).to_numpy(),
            }
        )
    for column in texts.keys() - {*cases["column"]}:
        _remember(text.table.field(column), texts[column])
    return cases


def _worth_checking(text: TextTable) -> Iterator[tuple[str, frozenset[object]]]:
    # pandera takes its time for each column, and columns repeat what others had: who entered a
    # row, on which day. The record checks the same rows again at every entry.
    for field in text.table.fields:
        cells = text.frame[field.name]
        texts = frozenset(cell for cell in {*cells} if cell is not None and cell == cell)
        if (
            (field.name in text.table.required and cells.hasnans)
            or (field.name == text.table.key and not cells.is_unique)
            or not texts <= _passed.get(field, frozenset())
        ):
            yield field.name, texts


def _remember(field: Field, texts: frozenset[object]) -> None:
    if len(texts) <= MAX_PASSED:
        both = texts | _passed.get(field, frozenset())
        _passed[field] = both if len(both) <= MAX_PASSED else texts


def _explain(field: Field, value: str | None, check: str) -> Fault:
    if value is None:
        return _REQUIRED
    if check == "field_uniqueness":
        return _UNIQUE
    wrong = fault(field, value)
    assert wrong is not None, (field.name, check)
    return wrong
