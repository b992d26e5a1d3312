"""Two lists of steps have one fingerprint only where they come to the same."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.helpers.shop import base_rows, row_of
from tests.helpers.tier import by_tier
from towdb.contract.model import contract
from towdb.duck.connections import connect
from towdb.record.store.record import Row, Rows, text_tables
from towdb.reference.relations import view_sql
from towdb.reference.rules import stage

STEP = row_of(base_rows(), "procedure_step", "before-2") | {"only_when": None, "text": None}
FUSE = row_of(base_rows(), "fuse_pull", "f12") | {"to_position": None}
NEUTRAL: Row = {"kind": "do", "component": "shifter", "action": "shift_to", "target": "neutral"}
# A step that names neither a target nor a value, so that its wording counts.
WORDED: Row = {"kind": "do", "component": "engine", "action": "run", "target": None, "value": None,
               "unit": None}  # fmt: skip
FUSED: Row = {"kind": "do", "component": "fuse", "action": "pull", "target": "neutral"}

Step = tuple[Row, Sequence[Row]]


def fingerprints(procedures: Mapping[str, Sequence[Step]]) -> dict[str, str]:
    """The fingerprint of each list of steps, each a step with its fuses."""
    rows: Rows = {name: [] for name in contract().tables}
    for name, steps in procedures.items():
        for n, (step, fuses) in enumerate(steps, start=1):
            key = f"{name}.{n}"
            own: Row = {"eligibility_id": name, "procedure_step_id": key, "step_no": str(n)}
            rows["procedure_step"].append(STEP | step | own)
            for m, fuse in enumerate(fuses):
                own = {"procedure_step_id": key, "fuse_pull_id": f"{key}.{m}"}
                rows["fuse_pull"].append(FUSE | fuse | own)
    with connect() as con:
        stage(con, text_tables(rows, "drawn"))
        return dict(con.execute(view_sql("steps_fingerprint")).fetchall())


def fused(*fuses: Row) -> list[Step]:
    return [(FUSED, fuses)]


# Pairs of procedures that differ, though their cells, written one behind the other with signs that
# people type in between, would be one text.
DIFFERENT: dict[str, tuple[list[Step], list[Step]]] = {
    "condition and wording": (
        [(WORDED | {"only_when": "cold~hot", "text": "run it"}, ())],
        [(WORDED | {"only_when": "cold", "text": "hot~run it"}, ())],
    ),
    "no condition": ([(NEUTRAL | {"only_when": "-"}, ())], [(NEUTRAL, ())]),
    "panel and position": (
        fused({"panel": "left~upper", "position": "3"}),
        fused({"panel": "left", "position": "upper~3"}),
    ),
    "one fuse or two": (
        fused({"panel": "a", "position": "1", "restore": "not_stated"},
              {"panel": "b", "position": "2", "restore": "not_stated"}),
        fused({"panel": "a~1~-~not_stated;pull~fuse~b", "position": "2", "restore": "not_stated"}),
    ),
    "no other place": (fused({"to_position": "-"}), fused({})),
    "kind": ([(NEUTRAL, ())], [(NEUTRAL | {"kind": "never"}, ())]),
    "order": ([(NEUTRAL, ()), (WORDED, ())], [(WORDED, ()), (NEUTRAL, ())]),
    "phase": ([(NEUTRAL, ())], [(NEUTRAL | {"phase": "after"}, ())]),
}  # fmt: skip


def test_procedures_that_differ_have_different_fingerprints() -> None:
    found = fingerprints(
        {f"{n}.{m}": one for n, pair in enumerate(DIFFERENT.values()) for m, one in enumerate(pair)}
    )
    same = [name for n, name in enumerate(DIFFERENT) if found[f"{n}.0"] == found[f"{n}.1"]]
    assert same == []


def test_white_space_case_numbers_and_warnings_make_no_difference() -> None:
    warning = {"kind": "warning", "printed_no": None}
    found = fingerprints(
        {
            "one": [(WORDED | {"text": "Run  the\nengine"}, ()), (NEUTRAL, ())],
            "other": [(NEUTRAL | warning, ()), (WORDED | {"text": "run the ENGINE"}, ()),
                      (NEUTRAL | {"text": "otherwise", "printed_no": "7"}, ())],
            "long": [(WORDED | {"value": "5", "unit": "min"}, ())],
            "short": [(WORDED | {"value": "300.0", "unit": "s"}, ())],
        }
    )  # fmt: skip
    assert found["one"] == found["other"]
    assert found["long"] == found["short"]


_TEXT = st.sampled_from(["a", "b", "a~b", "a;b", "-", "~", ";", "a~-", "-~b", "a..b"])
_STEPS = st.lists(
    st.tuples(
        st.fixed_dictionaries({"only_when": st.none() | _TEXT, "text": _TEXT}),
        st.lists(
            st.fixed_dictionaries(
                {"panel": _TEXT, "position": _TEXT, "to_position": st.none() | _TEXT}
            ),
            max_size=2,
        ),
    ),
    min_size=1,
    max_size=2,
)


@settings(max_examples=by_tier(quick=2, whole=5))
@given(procedures=st.lists(_STEPS, min_size=20, max_size=40))
def test_equal_fingerprints_are_equal_procedures(
    procedures: list[list[tuple[Row, list[Row]]]],
) -> None:
    found = fingerprints(
        {str(n): [(WORDED | s, f) for s, f in steps] for n, steps in enumerate(procedures)}
    )
    meant = {
        str(n): tuple(
            # Drawn dictionaries may have their keys in any order.
            (
                step["only_when"],
                step["text"],
                *sorted(tuple(str(fuse[c]) for c in sorted(fuse)) for fuse in fuses),
            )
            for step, fuses in steps
        )
        for n, steps in enumerate(procedures)
    }
    for one in found:
        for other in found:
            assert (found[one] == found[other]) is (meant[one] == meant[other])
