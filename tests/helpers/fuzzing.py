"""Strategies for every text that the command line takes: calls, and the files that go with them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from hypothesis import strategies as st

from tests.conftest import DEMO
from tests.helpers.folders import BASE
from tests.helpers.fuzz_texts import (
    DAMAGED,
    TYPED,
    WORDS,
    Content,
    bent,
    parquets,
    queries,
    rarely,
    sometimes,
    tables,
    tomls,
)
from towdb.contract.model import contract

Files = dict[str, Content]


@dataclass(frozen=True)
class Case:
    """One call, typed in a folder that holds `files`; None takes a file of the base away.

    The folder above it holds ``demo.duckdb``, ``base.duckdb``, ``other.duckdb`` and ``coach.toml``.
    Of a call on a reference folder, ``ref`` is a copy of the tests' base, changed by `files`.
    """

    kind: str
    call: tuple[str, ...]
    files: Files = field(default_factory=dict)


SHORTLIST = (DEMO / "shortlist.csv").read_bytes()
COACH = (DEMO / "coach.toml").read_bytes()
TABLES = {path.name: path.read_bytes() for path in sorted(BASE.glob("*.csv"))}
COLUMNS = list(contract().candidate.columns)
OLD = b"what was there before\n"
# What lies where an answer may go.
LYING: Files = {f"out.{end}": OLD for end in ("csv", "json", "txt", "parquet", "duckdb")}
LYING["here.csv/kept"] = OLD


def chosen(*texts: str) -> st.SearchStrategy[str]:
    """One of these; now and then something else."""
    return rarely(st.sampled_from(texts), TYPED)


GOOD_OUTPUTS = [f"{name}.{end}" for name in ("out", "new") for end in ("csv", "json", "txt")]
BAD_OUTPUTS = chosen(
    "out", ".csv", "..csv", "a b.csv", "it's.parquet", "ü\n.csv", "*.json", "[a].parquet",
    "cars.csv", "no/such/out.csv", "x" * 252 + ".csv", "x" * 230 + ".parquet", "\udcff.csv",
    "\udcff.parquet", "-o.csv", "out.duckdb", "here.csv/out.csv", "", ".", "cars.csv/out.json",
    "\x1b[2J.txt", "out.CSV", "/dev/null", "here.csv", "new.parquet", "out.parquet", "%s.parquet",
    "a\x1b.parquet",
)  # fmt: skip
FORMATS = ["table", "json", "csv"]
PLACES = ["screen", "format", "file", "format", "screen", "file", "odd file", "both"]
ON = chosen(
    "2026-01-31", "2026-02-30", "0001-01-01", "9999-12-31", "0000-01-01", "10000-01-01", "today",
    "", "٢٠٢٦-٠١-٣١", "2026-1-1", "20260131", "2026-W05-6", "infinity", "2026-01-31T10:00", "-1",
)  # fmt: skip
YEARS = chosen(
    "2021", "2021", "2020", "1900-1999", "2022-2022", "2021-2018", "9999", "0000-0001", "２０２１",
    "2021-", "-2021", "2021 - 2022", "2021\n", "20211", "",
)  # fmt: skip
ATTRIBUTES = [f.name for f in contract().tables["vehicle_group"].fields if f.type == "words"]
ASSUMED = st.one_of(
    chosen("market=xa", "market=XA", "transmission=stick", "market=", "=x", "x", "candidate=a"),
    st.builds("{}={}".format, st.sampled_from(ATTRIBUTES), TYPED),
    st.builds("{}={}".format, st.sampled_from(ATTRIBUTES), st.sampled_from(WORDS)),
)
COACH_KEYS = [
    *(
        word.name
        for word in contract().vocabularies["property"].words.values()
        if "coach_property" in word.tables
    ),
    *("name", "outfit", "properties", "hitch_reciever", "[properties]\nname", "[outfit]\nx", "a.b"),
]
POLICY_KEYS = [
    "weigh_by", "tow_bar_share", "over_share", "level_tolerance", "usable_battery_share",
    "wiegh_by", "advise_brakes", '""', '"\\u001b"', "a.b", "[weigh_by]\nx",
]  # fmt: skip


# ---------------------------------------------------------------- parts of a call


@st.composite
def where(draw: st.DrawFn, formats: list[str]) -> tuple[list[str], Files]:
    """Where the answer goes, and what lies there already."""
    match draw(st.sampled_from(PLACES)):
        case "format":
            return ["--format", draw(chosen(*formats))], {}
        case "file":
            return ["-o", draw(st.sampled_from(GOOD_OUTPUTS))], LYING
        case "odd file":
            return ["-o", draw(BAD_OUTPUTS)], LYING
        case "both":
            return ["--format", draw(chosen(*formats)), "-o", draw(BAD_OUTPUTS)], LYING
    return [], {}


@st.composite
def release(draw: st.DrawFn) -> tuple[list[str], Files]:
    """The option that names a release, and what else of this kind lies there."""
    usual = st.sampled_from(
        ["../demo.duckdb", "../demo.duckdb", "../demo.duckdb", "../base.duckdb"]
    )
    odd = chosen(
        "hurt.duckdb", "hurt.duckdb", "no.duckdb", "text.duckdb", ".", "", "a\udcff.duckdb"
    )
    name = draw(rarely(usual, odd))
    if name == "hurt.duckdb":
        return ["--reference", name], {name: draw(DAMAGED)}
    return ["--reference", name], {"text.duckdb": b"no release"} if name == "text.duckdb" else {}


@st.composite
def shortlists(draw: st.DrawFn) -> tuple[list[str], Files]:
    """A shortlist as CSV or Parquet, none but some years, or something else."""
    content: Content
    match draw(st.sampled_from(["csv"] * 6 + ["parquet", "years", "years", "other"])):
        case "csv":
            content = draw(tables(SHORTLIST, COLUMNS, some=True))
            return ["cars.csv"], {"cars.csv": content}
        case "parquet":
            content = draw(parquets(COLUMNS))
            if sometimes(draw, 10):
                content = draw(bent("PAR1"))
            return ["cars.parquet"], {"cars.parquet": content}
        case "years":
            return ["--years", draw(YEARS)], {}
    return [draw(chosen("no.csv", ".", "../demo.duckdb", "", "*.csv", "no.parquet"))], {}


@st.composite
def coaches(draw: st.DrawFn) -> tuple[list[str], Files]:
    """Coach files and ids."""
    content = draw(tomls(COACH, COACH_KEYS)) if sometimes(draw, 4) else COACH
    name = draw(rarely(st.just("coach.toml"), chosen("no.toml", "coach", ".", "x.csv", "")))
    more = ["--coach", draw(TYPED)] if sometimes(draw, 12) else []
    return ["--coach", name, *more], {"coach.toml": content}


# ---------------------------------------------------------------- calls


@st.composite
def folders(draw: st.DrawFn, verb: str) -> Case:
    """`check` and `build` of a reference folder."""
    files: Files = {}
    for name in draw(st.lists(st.sampled_from(list(TABLES)), max_size=2, unique=True)):
        stem = name.removesuffix(".csv")
        match draw(st.sampled_from(["cells", "cells", "cells", "cells", "none", "parquet"])):
            case "cells":
                files[f"ref/{name}"] = draw(tables(TABLES[name], contract().tables[stem].columns))
            case "none":
                files[f"ref/{name}"] = None
            case "parquet":
                files[f"ref/{name}"] = None
                files[f"ref/{stem}.parquet"] = draw(parquets(list(contract().tables[stem].columns)))
    if sometimes(draw, 8):
        more = st.sampled_from(
            ["x.txt", "SOURCE.CSV", "coach.parquet", "a\x1b\n.csv", "\udcff.csv"]
        )
        files[f"ref/{draw(more)}"] = draw(st.sampled_from([b"", b"a,b\n1,2\n"]))
    folder = draw(
        rarely(st.just("ref"), chosen("no", "../coach.toml", "", "re\udcff", ".", "ref/"))
    )
    if verb == "check":
        words, old = draw(where(FORMATS))
        return Case(verb, (verb, folder, *words), {**files, **old})
    odd = chosen(
        "out.csv", "no/x.duckdb", "out.duckdb", "reference.duckdb", "it's.duckdb", "ü\n.duckdb", "",
        "\udcff.duckdb", "x" * 240 + ".duckdb", "a.b.duckdb", "select.duckdb", "main.duckdb",
        "*.duckdb", "building.duckdb", "here.csv", ".duckdb", "memory.duckdb", "MEMORY.duckdb",
        "main.x.duckdb",
    )  # fmt: skip
    name = draw(st.just("new.duckdb") if sometimes(draw, 2) else odd)
    return Case(verb, (verb, folder, "-o", name), {**files, **LYING})


@st.composite
def screens(draw: st.DrawFn) -> Case:
    """`screen` with every option that takes text."""
    call, files = ["screen"], dict[str, Content]()
    formats = ["json", "json", "json", "table", "csv", "parquet"]
    for words, more in draw(st.tuples(shortlists(), coaches(), release(), where(formats))):
        call += words
        files |= more
    call += ["--on", draw(ON)] if sometimes(draw, 6) else ["--on", "2026-01-31"]
    call += ["--units", draw(chosen("kg", "lb", "KG", "stone"))] if sometimes(draw, 8) else []
    call += ["--explain"] if sometimes(draw) else []
    for assumed in draw(st.lists(ASSUMED, max_size=2)) if sometimes(draw, 4) else []:
        call += ["--assume", assumed]
    if sometimes(draw, 8):
        files["policy.toml"] = draw(tomls(b'weigh_by = "best_known"\n', POLICY_KEYS))
        call += ["--policy", draw(rarely(st.just("policy.toml"), chosen("no.toml", "", ".")))]
    if sometimes(draw, 8):
        asked = [
            "verdict",
            "check_outcome",
            "condition",
            "citation",
            "capacity",
            "remark",
            "question",
        ]
        call += ["--sql", draw(queries(asked))]
    return Case("screen", tuple(call), files)


@st.composite
def asked(draw: st.DrawFn) -> Case:
    """`sql`, with tables of one's own."""
    call, files = ["sql", draw(queries(["inv"]))], dict[str, Content]()
    if sometimes(draw):
        name = chosen("", "statement", "INV", "a b", "select", "inv;drop", "verdict", "release")
        path = chosen(
            "cars.csv", "cars.parquet", "no.csv", ".", "x.txt", "", "../demo.duckdb", "*.csv"
        )
        pair = st.builds("{}={}".format, rarely(st.just("inv"), name), path)
        call += ["--table", draw(rarely(pair, TYPED))]
        files["cars.csv"] = draw(tables(SHORTLIST, COLUMNS, some=True))
        files["cars.parquet"] = draw(parquets(COLUMNS))
    for words, more in draw(st.tuples(release(), where(FORMATS))):
        call += words
        files |= more
    return Case("sql", tuple(call), files)


@st.composite
def shown(draw: st.DrawFn) -> Case:
    """`show`."""
    make = chosen("Quillon", "quillon ", "QUILLON", "Quilon", "Bessarin", "")
    model = chosen("Pika", "pIKA", "Lowan", "Pica", "")
    year = chosen(
        "2021", "-1", "0", "99999999999", "9" * 40, "2021.0", "２０２１", "2_021", " 2021"
    )
    many = draw(st.integers(1, 3))
    call, files = ["show", *draw(st.tuples(make, model, year))[:many]], dict[str, Content]()
    call += ["--on", draw(ON)] if sometimes(draw, 6) else []
    for words, more in draw(st.tuples(release(), where(FORMATS))):
        call += words
        files |= more
    return Case("show", tuple(call), files)


@st.composite
def described(draw: st.DrawFn) -> Case:
    """`describe`."""
    names = [*contract().tables, *contract().vocabularies, *contract().units, *WORDS]
    more = ["statement", "verdict", "release", "GVWR", "Transfer Case", "shortlist"]
    name = [] if sometimes(draw, 8) else [draw(rarely(st.sampled_from([*names, *more]), TYPED, 4))]
    words, files = draw(where(["table", "json"]))
    return Case("describe", ("describe", *name, *words), files)


@st.composite
def compared(draw: st.DrawFn) -> Case:
    """`diff`."""
    good = st.sampled_from(["../base.duckdb", "../other.duckdb"])
    name = rarely(good, chosen("hurt.duckdb", "hurt.duckdb", "text.duckdb", ".", ""), 3)
    call = ["diff", draw(name), draw(name)]
    files: Files = {"text.duckdb": b"no release"}
    if "hurt.duckdb" in call:
        files["hurt.duckdb"] = draw(DAMAGED)
    if sometimes(draw):
        (cars, these), (coach, those) = draw(st.tuples(shortlists(), coaches()))
        call += ["--shortlist", cars[-1], *coach]
        files |= {**these, **those}
    call += ["--on", draw(ON)] if sometimes(draw, 6) else []
    words, old = draw(where(FORMATS))
    return Case("diff", (*call, *words), {**files, **old})


KINDS: dict[str, Callable[[], st.SearchStrategy[Case]]] = {
    "check": lambda: folders("check"),
    "build": lambda: folders("build"),
    "screen": screens,
    "sql": asked,
    "show": shown,
    "describe": described,
    "diff": compared,
}
# Of 500 cases; a check or a build takes a second, a query a few hundredths.
SHARES = {
    "check": 14, "build": 8, "screen": 108, "sql": 230, "show": 60, "describe": 60, "diff": 20,
}  # fmt: skip
