"""Strategies for the analyst's verbs: inventories, mappings, groups, ratings, where answers go."""

from __future__ import annotations

import os
from collections.abc import Callable

from hypothesis import strategies as st

from tests.helpers.fuzz_texts import (
    Content,
    bent,
    parquets,
    rarely,
    sometimes,
    tables,
    tomls,
)
from tests.helpers.fuzzing import (
    COLUMNS,
    FORMATS,
    LYING,
    OLD,
    ON,
    Case,
    Files,
    chosen,
    coaches,
    release,
    where,
)
from towdb.intake.grouping import GROUPING

INVENTORY = b"""\
stock_no,vin,make,model,model_year,drivetrain,transmission,gvwr,curb_weight,load,weight_unit,price,lot,listed_on
A1,1G4AH59H45G118341,Quillon,Pika,2021,4x4,Planetary Automatic,"4,400 lb",,,,21900,row 3,2025-11-02
A2,1g4ah59h45g118341, quillon,PIKA ,2022,4X4,stick,4500,3000,50,lb,"$24,450",row 3,
A3,,Bessarin,Lowan,2021,fwd,CVT,,1300 kg,,,18700,\xe5\x8c\x97,2025-10-30
,,BESSARIN,Lowan,,,,2000 kg,,,kg,,,
A5,XXXXXXXXXXXXXXXXX,Nobody,Nothing,2021,,,,,,,,row 1,
"""
# The folder says which.
OF_A_YEAR = INVENTORY.replace(b"stock_no,", b"trim,").replace(b",model_year,", b",engine,")
MAPPING = b"""\
[columns]
stock_no = "candidate"
lot = "lot"
vin = ""
load = { column = "load", unit = "lb" }
listed_on = { column = "listed_on", dates = "month/day/year" }
[words.drivetrain]
"4x4" = "four_driven_wheels"
"??" = ""
[words.make]
"QLN" = "Quillon"
"""
MAPPING_KEYS = [
    "gvwr", "make", '"Stock No."', "lot", "verdict", '""', '"\\u001b"', "[words.lot]\nx",
    "[words.gvwr]\nx", "[columns]\nx", "[words.market]\nx", "a.b", "columns", "words",
    "[columns.gvwr]\nunit", "[columns.lot]\ncolumn", "[columns.listed_on]\ndates",
]  # fmt: skip
BY = rarely(
    st.sampled_from([*GROUPING, "lot", "make"]),
    chosen("gvwr", "candidate", "LOT", "", "a\nb", "\x1b[2J", "lot\udcff"),
)
RATING = rarely(
    st.sampled_from(["5000 lb", "2000 kg", "4,400 lb", " 3000.5 lb", "1 996 kg"]),
    chosen("5000", "-1 lb", "0.5 lb", "1 mph", "nan lb", ""),
)
ASIDE = rarely(
    st.sampled_from(["aside.csv", "aside.parquet", "out.parquet", "\udcff.csv", "it's.parquet"]),
    chosen("out.csv", "aside.json", "cars.csv", "", "stock/a.csv", "no/a.csv", "here.csv"),
    4,
)
PLOT = rarely(
    st.sampled_from(["new.svg", "new.png", "new.SVG", "a\x1b\n.svg", "\udcff.png"]),
    chosen("new.pdf", "out.csv", "", "no/new.png", "x" * 252 + ".png"),
    4,
)
AGE = chosen("3y", "18 months", "0d", "200y", "201y", "-1y", "", "3", "3 years", "٣y", "9" * 30)


@st.composite
def inventories(draw: st.DrawFn) -> tuple[str, Files]:
    """A path that an inventory may be at, and what lies there."""
    match draw(st.sampled_from(["csv"] * 5 + ["parquet"] * 3 + ["folder"] * 3 + ["other"])):
        case "csv":
            return "cars.csv", {"cars.csv": draw(tables(INVENTORY, COLUMNS, some=True, once=True))}
        case "parquet":
            names = COLUMNS if sometimes(draw) else COLUMNS[1:]
            return "cars.parquet", {"cars.parquet": draw(parquets(names, hurt=True))}
        case "folder":
            return draw(folders())
    files: Files = {
        "cars.csv": INVENTORY,
        "cars.csv.gz": b"\x1f\x8b\x08",
        "cars.xlsx": b"PK\x03\x04",
    }
    return draw(
        chosen("no.csv", ".", "../demo.duckdb", "", "*.csv", "**", "cars.csv.gz", "cars.xlsx",
               "/dev/null", "[c]ars.csv", "no.parquet", "cars.csv/", "*.no")
    ), files  # fmt: skip


@st.composite
def folders(draw: st.DrawFn) -> tuple[str, Files]:
    """A folder of an inventory, or a pattern in it."""
    files: Files = {}
    names = [
        "model_year=2021", "model_year=2022", "model_year=__HIVE_DEFAULT_PARTITION__", "lot=a%20b",
        "lot=%00%ff", "run=5", "plain", "_old", ".hidden", "lot=1/lot=2", "model_year=new",
        "=x", "x=", "a\x1b\n=1", os.fsdecode(b"lot=\xff"), "MAKE=Quillon",
    ]  # fmt: skip
    for number in range(draw(st.sampled_from([1, 2, 3, 0]))):
        below = draw(rarely(st.just("model_year=2021"), st.sampled_from(names), 6))
        content: Content
        if draw(st.booleans()):
            content, end = draw(parquets(COLUMNS[1:], hurt=sometimes(draw, 6))), "parquet"
        else:
            columns = [name for name in COLUMNS if name != "model_year"]
            content, end = draw(tables(OF_A_YEAR, columns, some=True, once=True)), "csv"
        files[f"stock/{below}/{number}.{end}"] = content
    more = ["_SUCCESS", ".0.csv.crc", "read me.txt", "A.CSV", os.fsdecode(b"\xff.csv")]
    if sometimes(draw, 4):
        files[f"stock/{draw(st.sampled_from(more))}"] = draw(st.sampled_from([b"", b"lot\n1\n"]))
    files["stock/_kept/_kept"] = b""
    usual = st.sampled_from(["stock", "stock", "stock", "stock/*/[0-9].*"])
    return draw(
        rarely(usual, chosen("stock/", "stock/*", "stock/model_year=2021", "./stock"))
    ), files


@st.composite
def read_by(draw: st.DrawFn) -> tuple[list[str], Files]:
    """A mapping, now and then."""
    if not sometimes(draw):
        return [], {}
    name = draw(rarely(st.just("map.toml"), chosen("no.toml", ".", "", "cars.csv")))
    content = draw(tomls(MAPPING, MAPPING_KEYS)) if draw(st.booleans()) else b"[columns]\n"
    return ["--map", name], {"map.toml": draw(bent("[columns]")) if sometimes(draw, 9) else content}


def repeated(option: str, texts: st.SearchStrategy[str], most: int) -> st.SearchStrategy[list[str]]:
    """An option some times."""
    return st.lists(texts, max_size=most).map(
        lambda found: [word for text in found for word in (option, text)]
    )


def now_and_then(
    option: str, texts: st.SearchStrategy[str], one_in: int
) -> st.SearchStrategy[list[str]]:
    """An option once in so many."""
    return st.integers(0, one_in - 1).flatmap(
        lambda at: (
            st.builds(lambda text: [option, text], texts) if at == one_in - 1 else st.just([])
        )
    )


@st.composite
def checked(draw: st.DrawFn) -> Case:
    """`inventory check`, and now and then `inventory draft-map`."""
    (path, files), (how, maps), (words, old) = draw(
        st.tuples(inventories(), read_by(), where(FORMATS))
    )
    if sometimes(draw, 5):
        return Case("inventory", ("inventory", "draft-map", path), {**files, **LYING})
    call = ["inventory", "check", path, *how, *words, *draw(now_and_then("--set-aside", ASIDE, 3))]
    call += ["--leave-unreadable"] if sometimes(draw, 3) else []
    return Case("inventory", tuple(call), {**files, **maps, **LYING, **old})


@st.composite
def weighed(draw: st.DrawFn) -> Case:
    """`weights`."""
    (path, files), (how, maps), (words, old) = draw(
        st.tuples(inventories(), read_by(), where(FORMATS))
    )
    call = ["weights", path, *how, *words, *draw(repeated("--by", BY, 2))]
    call += draw(repeated("--rating", RATING, 2))
    call += draw(now_and_then("--weigh-by", chosen("price", "price", "count", "prize"), 4))
    call += draw(now_and_then("--units", chosen("kg", "lb", "KG"), 8))
    call += draw(now_and_then("--plot", PLOT, 12)) + draw(now_and_then("--on", ON, 8))
    call += draw(now_and_then("--set-aside", ASIDE, 2))
    call += ["--leave-unreadable"] if sometimes(draw, 3) else []
    if sometimes(draw):
        named, more = draw(release())
        call, files = call + named, files | more
    return Case("weights", tuple(call), {**files, **maps, **LYING, **old})


@st.composite
def lacking(draw: st.DrawFn) -> Case:
    """`gaps`."""
    (path, files), (how, maps), (words, old), (named, more) = draw(
        st.tuples(inventories(), read_by(), where(FORMATS), release())
    )
    call = ["gaps", *([] if sometimes(draw, 8) else [path]), *how, *words, *named]
    call += draw(now_and_then("--older-than", AGE, 3)) + draw(now_and_then("--on", ON, 8))
    call += draw(now_and_then("--set-aside", ASIDE, 2))
    call += ["--leave-unreadable"] if sometimes(draw, 3) else []
    return Case("gaps", tuple(call), {**files, **maps, **more, **LYING, **old})


@st.composite
def summed(draw: st.DrawFn) -> Case:
    """`screen --summary`, and `screen` of an inventory with a mapping and rows set aside."""
    (path, files), (how, maps), (named, more), (coach, toml) = draw(
        st.tuples(inventories(), read_by(), release(), coaches())
    )
    call = ["screen", path, *how, *named, *coach, *draw(now_and_then("--on", ON, 8))]
    call += draw(now_and_then("--set-aside", ASIDE, 2))
    call += ["--leave-unreadable"] if sometimes(draw, 3) else []
    if sometimes(draw, 4):
        words, old = draw(where([*FORMATS, "parquet"]))
        files |= {**maps, **more, **toml, **LYING, **old}
        return Case("screen", (*call, *words), files)
    words, old = draw(where([*FORMATS, "json", "html"]))
    if not words and sometimes(draw, 8):
        words, old = ["-o", draw(chosen("new.html", "out.html"))], {"out.html": OLD}
    call += ["--summary", *words, *draw(repeated("--by", BY, 2))]
    call += draw(now_and_then("--plot", PLOT, 16))
    call += draw(now_and_then("--assume", chosen("market=xa", "drivetrain=4wd"), 6))
    return Case("summary", tuple(call), {**files, **maps, **more, **toml, **LYING, **old})


KINDS: dict[str, Callable[[], st.SearchStrategy[Case]]] = {
    "inventory": checked,
    "weights": weighed,
    "gaps": lacking,
    "summary": summed,
}
# Beside 500 cases of the other kinds.
SHARES = {"inventory": 60, "weights": 60, "gaps": 40, "summary": 40}
