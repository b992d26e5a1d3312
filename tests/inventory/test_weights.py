"""How an inventory weighs: against published tables, numpy and scipy, and plain Python."""

from __future__ import annotations

import importlib.util
import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import duckdb
import numpy as np
import pandas as pd
import pytest
import scipy.stats
from hypothesis import given, settings
from hypothesis import strategies as st

import towdb
from tests.conftest import DEMO
from tests.helpers.cars_drawn import POUND, Car, car, frame, inventories, write
from tests.helpers.command import Command
from tests.helpers.tier import by_tier
from towdb.intake.grouping import GROUPING
from towdb.inventory.weights import Weights
from towdb.report.caution import CAUTION

QUANTILES = {"q05_lb": 0.05, "q25_lb": 0.25, "median_lb": 0.5, "q75_lb": 0.75, "q95_lb": 0.95}


def row_of(found: Weights, weight: str, **group: Any) -> dict[str, Any]:
    """The row of the distribution of a weight: of all cars, or of one group."""
    columns, rows = found.tables["distribution"]
    each = [dict(zip(columns, row, strict=True)) for row in rows]
    scope = "group" if group else "all"
    (one,) = [
        row for row in each
        if row["weight"] == weight and row["scope"] == scope
        and all(row[name] == value for name, value in group.items())
    ]  # fmt: skip
    return one


# ---------------------------------------------------------------- published tables


@pytest.fixture(scope="module")
def road_tests() -> pd.DataFrame:
    """The table of 32 road tests of 1974, as plotnine carries it; weights in 1,000 lb."""
    return pd.read_csv(carried("plotnine", "data/mtcars.csv"))


def carried(package: str, name: str) -> Path:
    """A file of a package, found without importing it."""
    spec = importlib.util.find_spec(package)
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent / name


def as_inventory(weights_lb: pd.Series[Any], **columns: Any) -> pd.DataFrame:
    text = weights_lb.map(lambda value: f"{value:.0f} lb")
    return pd.DataFrame({"as_weighed": text, **columns})


def test_the_road_tests_of_1974(road_tests: pd.DataFrame) -> None:
    found = row_of(towdb.weights(as_inventory(road_tests["wt"] * 1000)), "as_weighed")
    # Values from memory: R's summary(mtcars$wt).
    assert found["cars"] == 32
    assert found["minimum_lb"] == 1513
    assert round(found["q25_lb"] / 1000, 3) == 2.581
    assert found["median_lb"] == 3325
    assert found["q75_lb"] == 3610
    assert round(found["mean_lb"] / 1000, 3) == 3.217
    assert found["maximum_lb"] == 5424


def agrees(found: dict[str, Any], weights_lb: Any) -> None:
    exact = np.asarray(weights_lb, dtype=float)
    assert found["cars"] == len(exact)
    for name, share in QUANTILES.items():
        assert found[name] == pytest.approx(np.quantile(exact, share, method="linear"), abs=1e-5)
        plain = scipy.stats.mstats.mquantiles(exact, share, alphap=1, betap=1)[0]
        assert found[name] == pytest.approx(plain, abs=1e-5)
    assert found["mean_lb"] == pytest.approx(exact.mean(), abs=1e-5)
    assert (found["minimum_lb"], found["maximum_lb"]) == (exact.min(), exact.max())


def test_groups_of_road_tests_as_numpy_and_scipy_have_them(road_tests: pd.DataFrame) -> None:
    pounds = (road_tests["wt"] * 1000).round()
    cars = as_inventory(pounds, lot=road_tests["cyl"].astype(str))
    found = towdb.weights(cars, by="lot")
    agrees(row_of(found, "towed"), pounds)
    for lot, group in pounds.groupby(cars["lot"]):
        agrees(row_of(found, "as_weighed", lot=lot), group)


def test_a_table_of_406_cars_by_where_they_are_from() -> None:
    # As vega_datasets carries it.
    cars = pd.DataFrame(json.loads(carried("vega_datasets", "_data/cars.json").read_text("utf-8")))
    found = towdb.weights(as_inventory(cars["Weight_in_lbs"], lot=cars["Origin"]), by=["lot"])
    agrees(row_of(found, "as_weighed"), cars["Weight_in_lbs"])
    for origin, group in cars.groupby("Origin"):
        agrees(row_of(found, "as_weighed", lot=origin), group["Weight_in_lbs"])
    _, bins = found.tables["histogram"]
    assert sum(row[3] for row in bins if row[0] == "as_weighed") == len(cars)


def test_the_curve_is_the_empirical_distribution_where_all_is_known(
    road_tests: pd.DataFrame,
) -> None:
    pounds = (road_tests["wt"] * 1000).round()
    exact = scipy.stats.ecdf(pounds).cdf
    curve = towdb.weights(as_inventory(pounds), ratings=["3440 lb", "3439.9 lb"]).curve
    assert len(curve) > 20
    assert {3440.0, 3439.9} <= set(curve["rating_lb"])
    for row in curve.itertuples():
        expected = exact.evaluate(row.rating_lb)
        assert (row.share_at_least, row.share_at_most) == (expected, expected)
        assert row.unknown == 0


# ---------------------------------------------------------------- plain Python


RATINGS_LB = ("1000", "1999.9", "2000", "3500", "9000")


@settings(max_examples=by_tier(quick=6, whole=25))
@given(inventories())
def test_bands_as_plain_python_counts_them(rows: list[dict[str, object]]) -> None:
    found = towdb.weights(frame(rows), by="lot", ratings=[f"{r} lb" for r in RATINGS_LB])
    cars = [car(row) for row in rows]
    shares = found.shares
    assert found.cars == len(cars)
    if not cars:
        assert shares.empty
        return
    for row in [*shares.to_dict("records"), *found.curve.assign(scope="all").to_dict("records")]:
        rating = Decimal(str(row["rating_lb"])) * POUND
        group = [c for c in cars if row["scope"] == "all" or same(c.lot, row["lot"])]
        said = [c.is_within(rating) for c in group]
        counts = (row["within"], row["over"], row["unknown"])
        assert counts == (said.count(True), said.count(False), said.count(None))
        assert row["share_at_least"] == pytest.approx(said.count(True) / len(group))
        assert row["share_at_most"] == pytest.approx(1 - said.count(False) / len(group))


def same(lot: str | None, shown: object) -> bool:
    return lot == shown or (lot is None and (shown is None or bool(pd.isna(shown))))  # type: ignore[call-overload]


@settings(max_examples=by_tier(quick=6, whole=25))
@given(inventories())
def test_distributions_as_numpy_counts_them(rows: list[dict[str, object]]) -> None:
    found = towdb.weights(frame(rows), by="lot").distribution
    cars = [car(row) for row in rows]
    of = {
        "as_weighed": lambda c: c.as_weighed, "gvwr": lambda c: c.gvwr,
        "curb_weight": lambda c: c.curb, "towed": lambda c: c.ends[1],
    }  # fmt: skip
    assert len(found) == 4 * (len({c.lot for c in cars}) + bool(cars))
    for row in found.to_dict("records"):
        group = [c for c in cars if row["scope"] == "all" or same(c.lot, row["lot"])]
        known = [float(w / POUND) for c in group if (w := of[str(row["weight"])](c)) is not None]
        assert (row["cars"], row["missing"]) == (len(known), len(group) - len(known))
        if not known:
            assert pd.isna(row["mean_lb"])
            assert pd.isna(row["median_lb"])
            continue
        assert row["mean_lb"] == pytest.approx(np.mean(known), abs=1e-5)
        for name, share in QUANTILES.items():
            assert row[name] == pytest.approx(np.quantile(known, share), abs=1e-5)


@settings(max_examples=by_tier(quick=6, whole=25))
@given(inventories())
def test_by_price_each_car_counts_what_is_asked_for_it(rows: list[dict[str, object]]) -> None:
    found = towdb.weights(frame(rows), weigh_by="price", ratings="2000 lb")
    cars = [car(row) for row in rows]
    priced = [c for c in cars if c.price is not None]
    assert (found.cars, found.unpriced) == (len(cars), len(cars) - len(priced))
    for row in found.shares.to_dict("records"):
        assert row["within"] == price(priced, 2000, True)
        assert row["over"] == price(priced, 2000, False)
        assert row["unknown"] == price(priced, 2000, None)
    for row in found.distribution.to_dict("records"):
        if row["weight"] == "gvwr":
            check_weighted(row, [c for c in priced if c.gvwr is not None and c.price])


def price(cars: list[Car], rating_lb: int, said: bool | None) -> float:
    return sum(c.price or 0 for c in cars if c.is_within(rating_lb * POUND) is said) / 100


def check_weighted(row: dict[Any, Any], cars: list[Car]) -> None:
    if not cars:
        assert pd.isna(row["median_lb"])
        return
    pounds = [float((c.gvwr or Decimal(0)) / POUND) for c in cars]
    counted = [c.price or 0 for c in cars]
    assert row["mean_lb"] == pytest.approx(np.average(pounds, weights=counted), abs=1e-5)
    # In halves and quarters numpy's sums are exact; at 5 % its rounding decides.
    for name in ("q25_lb", "median_lb", "q75_lb"):
        exact = np.quantile(pounds, QUANTILES[name], weights=counted, method="inverted_cdf")
        assert row[name] == pytest.approx(exact, abs=1e-5)


@given(st.permutations([("a", "4x4"), ("b", "AWD"), ("c", "awd"), ("d", "")]))
@settings(max_examples=8)
def test_words_are_grouped_as_the_contract_reads_them(cars: list[tuple[str, str]]) -> None:
    table = pd.DataFrame(cars, columns=["candidate", "drivetrain"])
    found = towdb.weights(table, by="drivetrain").distribution
    groups = found[(found["scope"] == "group") & (found["weight"] == "towed")]
    counts = dict(zip(groups["drivetrain"].fillna("-"), groups["missing"], strict=True))
    assert counts == {"all_wheel_drive": 2, "four_driven_wheels": 1, "-": 1}


@pytest.mark.parametrize("where", ["frame", "parquet"])
def test_cars_are_grouped_by_any_attribute(demo_release: Path, tmp_path: Path, where: str) -> None:
    # Some of them are words of SQL too.
    cars = pd.read_csv(DEMO / "shortlist.csv", dtype=str)
    source: Any = cars
    if where == "parquet":
        source = tmp_path / "cars.parquet"
        with duckdb.connect() as con:
            con.register("shortlist", cars)
            con.execute(f"COPY shortlist TO '{source}' (FORMAT parquet)")
    found = towdb.weights(source, by=GROUPING, reference=demo_release).distribution
    groups = found[(found["scope"] == "group") & (found["weight"] == "towed")]
    assert (groups["cars"] + groups["missing"]).sum() == len(cars)
    for name in GROUPING:
        if name in cars:
            filled = cars[name].fillna("").str.strip() != ""
            assert groups[name].notna().sum() == filled.sum()


def test_free_text_is_grouped_whatever_its_case(tmp_path: Path) -> None:
    path = write(
        tmp_path / "cars.csv", "lot,make,model", ["北 1,Quillon,Pika", "北  1, QUILLON,pika"]
    )
    found = towdb.weights(path, by=["make", "lot"]).distribution
    assert list(found[found["scope"] == "group"]["make"].unique()) == ["QUILLON"]
    assert len(found) == 8


# ---------------------------------------------------------------- with a reference


def test_a_reference_fills_in_what_is_on_record_and_marks_its_coaches(demo_release: Path) -> None:
    cars = DEMO / "shortlist.csv"
    alone = row_of(towdb.weights(cars), "towed")
    found = towdb.weights(cars, reference=demo_release, on="2026-01-31")
    with towdb.screen(
        cars, coach="saltmarsh-31", reference=demo_release, on="2026-01-31"
    ) as screened:
        verdicts = screened.verdicts
        capacity = dict(screened.sql("select coach, capacity_lb from capacity").values)
    known = verdicts["towed_weight_lb"].dropna()
    towed = row_of(found, "towed")
    assert (towed["cars"], towed["missing"]) == (len(known), len(verdicts) - len(known))
    assert towed["cars"] > alone["cars"]
    assert towed["maximum_lb"] == pytest.approx(known.max(), abs=0.1)
    marks = {mark.coach: mark.lb for mark in found.marks}
    assert marks["saltmarsh-31"] == pytest.approx(capacity["saltmarsh-31"], abs=0.1)
    assert found.coaches_unknown == ("ferrow-26",)
    share = found.shares.set_index("rating_lb").loc[marks["saltmarsh-31"]]
    assert share["within"] == (known <= capacity["saltmarsh-31"]).sum()


# ---------------------------------------------------------------- bad input


CARS = ["a,4000 lb,1 900 kg,21900", "b,,4300 lb,", 'c,,,"$9,500"']
HEADER = "candidate,as_weighed,gvwr,price"


@pytest.mark.parametrize(
    ("options", "wrong"),
    [
        (["--by", "drivetran"], "did you mean drivetrain?"),
        (["--by", "price"], "cannot group by 'price'"),
        (["--by", "lot", "--by", "lot"], "by lot: named twice"),
        (["--rating", "5000"], "has no unit"),
        (["--rating", "5000 mph"], "mph is not a unit of weight"),
        (["--rating", "0 lb"], "a weight is above 0"),
        (["--rating", "heavy"], "is not a figure"),
        (["--weigh-by", "prize"], "did you mean price?"),
        (["--units", "stone"], "choose lb or kg"),
        (["--plot", "picture.pdf"], "ends in .png or .svg"),
        (["--plot", "picture"], "ends in .png or .svg"),
        (["-o", "weights.parquet"], "no format 'parquet' here"),
        (["--reference", "nowhere.duckdb"], "there is no such release"),
        (["--on", "tomorrow", "--reference", "x"], "is not a date"),
    ],
)
def test_a_wrong_call_is_refused(
    command: Command, tmp_path: Path, options: list[str], wrong: str
) -> None:
    path = write(tmp_path / "cars.csv", HEADER, CARS)
    assert wrong in command.refused("weights", path, *options)
    assert [file.name for file in tmp_path.iterdir()] == ["cars.csv"]


@pytest.mark.parametrize(
    ("row", "wrong"),
    [
        ("d,0 lb,,", "line 5, as_weighed: '0 lb': a weight is above 0"),
        ("d,-5 lb,,", "line 5, as_weighed: '-5 lb'"),
        ("d,,4000,", "line 5, gvwr: '4000'"),
        ("d,,,-5", "line 5, price: '-5': a price is not below 0"),
        ("d,,,cheap", "line 5, price: 'cheap': not a price"),
        ("d,,,21.900", "line 5, price: '21.900': not a price"),
        ("d,,,€ 900", "prices in $ and in € do not add up"),
    ],
)
def test_a_wrong_cell_is_told_by_its_line(
    command: Command, tmp_path: Path, row: str, wrong: str
) -> None:
    path = write(tmp_path / "cars.csv", HEADER, [*CARS, row])
    assert wrong in command.refused("weights", path, "--weigh-by", "price")


@pytest.mark.parametrize(
    "text", ["candidate,as_weighed,gvwr,price\n", "candidate\na\nb\n", "as_weighed\n \n"]
)
@pytest.mark.parametrize("weigh_by", ["count", "price"])
def test_no_car_or_no_weight_is_no_fault(
    command: Command, tmp_path: Path, text: str, weigh_by: str
) -> None:
    path = tmp_path / "cars.csv"
    path.write_text(text, "utf-8")
    said = command("weights", path, "--rating", "5000 lb", "--weigh-by", weigh_by,
                   "--by", "model_year", "--plot", tmp_path / "w.svg")  # fmt: skip
    assert (said.status, said.err) == (0, "")
    assert "else GVWR: none" in said.out
    assert said.out.count(CAUTION.split()[-1]) == 1
    assert (tmp_path / "w.svg").read_text("utf-8").startswith("<?xml")


def test_what_is_not_known_never_counts_as_within(tmp_path: Path) -> None:
    path = write(tmp_path / "cars.csv", "curb_weight,load", ["2000 lb,"] * 3)
    curve = towdb.weights(path, ratings="9000 lb").shares
    assert list(curve["share_at_least"]) == [0.0]
    assert list(curve["share_at_most"]) == [1.0]


# ---------------------------------------------------------------- every form


def test_json_holds_everything_and_csv_the_distribution(command: Command, tmp_path: Path) -> None:
    path = write(tmp_path / "cars.csv", HEADER, CARS)
    asked = ("weights", path, "--rating", "5000 lb", "--on", "2026-01-31")
    told = json.loads(command(*asked, "--format", "json").out)
    assert (told["cars"], told["quantiles"]) == (3, "Hyndman and Fan 1996, type 7")
    assert told["ratings"] == [{"rating": "5000 lb", "coach": None, "rating_lb": 5000.0}]
    assert [row["share_at_least"] for row in told["shares"]] == [pytest.approx(2 / 3)]
    target = tmp_path / "w.csv"
    assert command(*asked, "-o", target).out == ""
    first, *rest = pd.read_csv(target).to_dict("records")
    assert (first["scope"], first["rows_read"], first["rows_set_aside"]) == ("read", 3, 0)
    assert [row["weight"] for row in rest] == ["as_weighed", "gvwr", "curb_weight", "towed"]
    assert [row["cars"] for row in rest] == [1, 2, 0, 2]


def test_kilograms_on_the_screen(command: Command, tmp_path: Path) -> None:
    path = write(tmp_path / "cars.csv", "gvwr", ["2000 kg"])
    out = command("weights", path, "--units", "kg", "--rating", "2500 kg").out
    assert "2,000" in out
    assert "2,500.0 kg" in out
    assert " lb" not in out
