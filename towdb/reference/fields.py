"""Field checks: pandera on frames of text, its report turned into findings."""

from __future__ import annotations

import pandas as pd
from pandera.config import ValidationDepth, config_context
from pandera.errors import SchemaErrors

from towdb.contract.frames import schema
from towdb.contract.grammar import Fault, fault
from towdb.contract.model import Field
from towdb.errors import Finding
from towdb.reference.folder import TextTable

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
        One a cell and rule.
    """
    cases = _failure_cases(text)
    keys = text.frame[text.table.key]
    found = []
    for column, group in cases.groupby("column", sort=False):
        field = text.table.field(str(column))
        values = text.frame[field.name]
        for position, check in zip(group["position"], group["check"], strict=True):
            value = values.iat[position]
            value = value if isinstance(value, str) else None
            wrong = _explain(field, value, str(check))
            key = keys.iat[position]
            found.append(
                Finding(
                    file=text.file,
                    line=int(text.frame.index[position]),
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


def _failure_cases(text: TextTable) -> pd.DataFrame:
    # Two environment variables turn pandera's checks off or down to column names: a gate that
    # can be opened from outside is none, so both are set here for the length of the call.
    try:
        with config_context(
            validation_enabled=True, validation_depth=ValidationDepth.SCHEMA_AND_DATA
        ):
            columns = _worth_checking(text)
            schema(text.table.name, columns).validate(text.frame[[*columns]], lazy=True)
    except SchemaErrors as error:
        cases = error.failure_cases
        rows = pd.Series(range(len(text.frame)), index=text.frame.index)
        return pd.DataFrame(
            {
                "column": cases["column"],
                "check": cases["check"],
                "position": rows.reindex(cases["index"]).to_numpy(),
            }
        )
    return pd.DataFrame({"column": [], "check": [], "position": []})


def _worth_checking(text: TextTable) -> tuple[str, ...]:
    # pandera takes its time for each column, and most columns of a folder that grows are empty.
    return tuple(
        column
        for column in text.table.columns
        if column in text.table.required or text.frame[column].notna().any()
    )


def _explain(field: Field, value: str | None, check: str) -> Fault:
    if value is None:
        return _REQUIRED
    if check == "field_uniqueness":
        return _UNIQUE
    wrong = fault(field, value)
    assert wrong is not None, (field.name, check)
    return wrong
