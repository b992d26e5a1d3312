"""Small hostile references, with candidates and a coach, drawn from a seeded random.Random.

A drawn reference obeys every rule whose breach is an error, so that a release can be built from
it; within these rules it contradicts itself wherever it can. Everything is invented. As a program:
`python tests/helpers/worlds.py 2000` runs the oracle over that many worlds and prints how often
each verdict, outcome, reason and governing check occurred.
"""

from __future__ import annotations

import sys
import tomllib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from functools import cache
from itertools import product
from pathlib import Path
from random import Random
from typing import Any
from unicodedata import normalize

ROOT = Path(__file__).resolve().parents[2]

Row = dict[str, str | None]
Reference = dict[str, list[Row]]
CoachFile = dict[str, list[Row]]

ON = date(2025, 7, 1)
MAKE = "Quillon"
MODELS = ("Pika", "Dorade")
PEOPLE = ("Imre Solvang", "Dunya Orrel", "Zoë Tessel")
CLOSED = {  # attribute: the car's own leaf, another leaf, a broader word or None
    "market": ("xa", "xb", None),
    "powertrain": ("full_hybrid", "gasoline", "hybrid"),
    "drivetrain": ("part_time_four_wheel_drive", "front_wheel_drive", "four_driven_wheels"),
    "transmission": ("planetary_automatic", "manual", "automatic"),
    "transfer_case": ("two_speed_with_neutral", "none", "present"),
    "steering": ("electric", "hydraulic", None),
    "parking_brake": ("hand_lever", "electric", "mechanical"),
    "shifter": ("mechanical", "by_wire", None),
    "ignition": ("key", "button", None),
}
FREE = {
    "trim": ("Trail", "Summit"),
    "body_style": ("wagon", "pickup"),
    "engine": ("2.0 L", "3.1 L"),
}
WRITTEN = ("powertrain", "drivetrain", "transmission", "transfer_case", "market")
IN_LEAVES = ("drivetrain", "transmission", "transfer_case")
OVERRIDING = {"anything": 0.4, "procedure": 0.1, "overrides": 0.9, "weights": 0.4}
TEMPERS = {  # how often each permission, in the order of PERMISSIONS
    "permitted": (50, 1, 2, 1, 1),
    "mixed": (4, 2, 2, 2, 2),
    "strict": (2, 5, 3, 1, 0),
    "vague": (1, 0, 0, 3, 3),
}
PERMISSIONS = ("permitted", "prohibited", "not_recommended", "refer_to_maker", "not_addressed")
OPTIONS = ("tow package", "air suspension", "heavy battery")
MISSPELT = "tow pakage"
POUND = Decimal("0.45359237")  # kg: units.csv, from NIST Handbook 44, App. C
TICKETS = (
    *("loaded_weight", "part_loaded_weight", "still_to_add"),
    *("axle_front_loaded", "axle_rear_loaded"),
)
FOCUS = ("anything", "anything", "procedure", "overrides", "weights")
FOCUS_HOSTILE = {  # how much stands in the way of a clear answer
    "anything": (0.1, 0.3, 1.0),
    "procedure": (0.02, 0.1),
    "overrides": (0.02, 0.1, 0.3),
    "weights": (0.02, 0.1),
}
BUILT = date(2021, 3, 15)
TABLES = (
    *("source", "vehicle_group", "eligibility", "towing_limit", "procedure_step", "fuse_pull"),
    *("vehicle_property", "coach", "coach_property"),
)
CANDIDATE = (
    *("candidate", "make", "model", "model_year", *CLOSED, *FREE, "built_on", "options"),
    *("options_complete", "confirmed", "procedure", "as_weighed", "gvwr", "curb_weight", "load"),
    *("weight_unit", "vin"),
)


@dataclass(frozen=True)
class World:
    """One reference, the candidates to screen, and what they are screened with."""

    reference: Reference
    candidates: list[Row]
    coach: CoachFile | str
    on: date = ON
    policy: dict[str, str] = field(default_factory=lambda: {"weigh_by": "best_known"})


@dataclass
class Procedure:
    """Steps (each with its fuse pulls) and limits, before they are rows."""

    steps: list[dict[str, Any]]
    limits: list[Row]

    def copy(self) -> Procedure:
        steps = [{**s, "pulls": [dict(p) for p in s["pulls"]]} for s in self.steps]
        return Procedure(steps, [dict(limit) for limit in self.limits])


@cache
def columns(table: str) -> tuple[str, ...]:
    """The columns of a table, in contract order."""
    read = tomllib.loads((ROOT / "schema" / "tables.toml").read_text("utf-8"))
    citation = read["columns"]["citation"] if read["table"][table].get("cited", True) else []
    return (*read["table"][table]["columns"], *citation, *read["columns"]["entry"])


class Draw:
    """The rows drawn so far, and how hostile this world is."""

    def __init__(self, rng: Random) -> None:
        self.rng = rng
        self.reference: Reference = {table: [] for table in TABLES}
        self.focus = rng.choice(FOCUS)
        self.hostile = rng.choice(FOCUS_HOSTILE[self.focus])
        self.unchecked = rng.choice((0, 0.05, 0.15)) * self.hostile
        self.withdrawn = rng.choice((0, 0.1, 0.3)) * self.hostile
        if self.focus == "overrides":
            self.unchecked, self.withdrawn = rng.choice((0, 0.05, 0.15)), 0
        self.vague = rng.choice((0, 0.1, 0.4)) * (self.hostile if self.focus != "overrides" else 1)
        self.agree = self.focus != "procedure" and rng.random() < 0.8
        self.check_day = rng.choice((None, None, -41, -40, -39, -1))
        self.towed = Decimal(rng.randrange(30, 48) * 100)
        self.group_kind: dict[str, str] = {}

    def chance(self, share: float) -> bool:
        return self.rng.random() < share

    def odd(self, share: float) -> bool:
        """A thing that stands in the way of a clear answer; the rarer, the calmer the world."""
        return self.chance(share * self.hostile)

    def add(self, table: str, cited: str | None = None, **cells: str | None) -> Row:
        """A row with every required column filled and its key given."""
        known = self.reference[table]
        row: Row = dict.fromkeys(columns(table))
        key = f"{table.replace('_', '-')}-{len(known) + 1}"
        row[f"{table}_id"] = key
        if table != "source":
            row |= {"source_id": cited, "locator": f"p. {table} {len(known) + 1}"}
            row |= {"quote": "As printed.", "basis": "cited"}
        row |= self.entry()
        row |= cells
        known.append(row)
        return row

    def add_child(self, table: str, parent: Row, **cells: str | None) -> Row:
        """A row of a statement or step, which may cite another source than its parent."""
        other = f"source-{self.rng.choice((1, 2, 3, 4))}" if self.chance(0.1) else None
        return self.add(table, other or parent["source_id"], **cells)

    def entry(self) -> Row:
        """Checked by another, by the same person on a later day, or by nobody."""
        person, other = self.rng.sample(PEOPLE, 2)
        row: Row = {"entered_by": person, "entered_on": (ON - timedelta(100)).isoformat()}
        if self.chance(self.unchecked):
            return row
        later = self.rng.choice((-90, -60, -41, -40, -39, -1, 0, 3))
        later = self.check_day or later
        if self.chance(0.1):
            checked_by, on = self.rng.choice((person, normalize("NFD", person.upper()))), later
        else:
            checked_by, on = other, self.check_day or self.rng.choice((-100, later, later))
        return row | {"checked_by": checked_by, "checked_on": (ON + timedelta(on)).isoformat()}


# ---------------------------------------------------------------- sources and groups


def draw_sources(draw: Draw) -> None:
    """Papers of the car's maker first, then one of figures, then those of the coach."""
    one_gone = draw.rng.choice((None, 1, 3, 3)) if draw.focus == "overrides" else None
    kinds = (
        ("owner_manual", "vehicle_maker", "any"),
        ("owner_manual", "vehicle_maker", "any"),
        ("manual_supplement", "vehicle_maker", "xa | xb"),
        ("technical_bulletin", "vehicle_maker", "any"),
        ("maker_data", "vehicle_maker", None),
        ("rating_plate", "coach_maker", None),
        ("scale_ticket", "shop", None),
    )
    for number, (kind, role, market) in enumerate(kinds):
        is_gone = number == one_gone or draw.chance(draw.withdrawn)
        gone = draw.rng.choice((-40, -40, -1, 0, 1, 40)) if is_gone else None
        paper = draw.add(
            "source",
            kind=kind,
            title=f"An invented paper, no. {number}",
            issuer="Quillon Motor Works",
            issuer_role=role,
            market=market,
            model_year_from="2010" if market else None,
            model_year_to="2026" if market else None,
            published_on="2010-01-01",
            withdrawn_on=(ON + timedelta(gone)).isoformat() if gone is not None else None,
            invented="yes",
        )
        if gone is not None and draw.chance(0.2):
            paper |= {"checked_by": None, "checked_on": None}


def closed_cell(draw: Draw, attribute: str, strict: bool) -> str | None:
    """A cell that mostly takes the car in; in leaves where a permission demands it."""
    own, other, broad = CLOSED[attribute]
    cells: list[str | None] = [own, f"{own} | {other}", f"{other} | {own}", f"not {other}", "any"]
    if draw.odd(0.3):
        cells = [other, f"not {own}"]
    elif attribute == "market" and strict:
        cells = [own, own, f"{own} | {other}", f"{other} | {own}", other]
    elif broad and not (strict and attribute in IN_LEAVES):
        cells += [broad, f"{broad} | {other}", f"not {broad}"]
    if not (strict and attribute in WRITTEN) and draw.odd(1):
        cells += [None, None]
    if attribute == "market" and strict:
        cells = [cell for cell in cells if cell and not cell.startswith("not ")]
    return draw.rng.choice(cells)


def draw_group(draw: Draw) -> Row:
    """Fit for a permission, or loose; two or three cells of interest, the others any."""
    strict, otherwise = not draw.odd(0.5), draw.chance(0.3)
    cells: Row = {}
    for attribute in (*CLOSED, *FREE):
        empty = otherwise and attribute not in WRITTEN
        cells[attribute] = None if empty and draw.chance(0.7) else "any"
    for attribute in draw.rng.sample(list(CLOSED), draw.rng.choice((0, 1, 1, 2))):
        cells[attribute] = closed_cell(draw, attribute, strict)
    if draw.chance(0.3):
        attribute = draw.rng.choice(list(FREE))
        own, other = FREE[attribute]
        spoken: list[str | None] = [own, own.upper(), f"{own} | {other}", f"not {other}"]
        spoken += [other, f"not {own}", None] if draw.odd(1) else []
        cells[attribute] = draw.rng.choice(spoken)
    first = draw.rng.choice((2019, 2020, 2021, 2022) if draw.odd(1) else (2019, 2020))
    cells |= {"model_year_from": str(first), "model_year_to": str(max(first, 2021))}
    cells |= draw_bounds(draw) if draw.odd(0.3) else {}
    if draw.odd(0.3):
        names = ", ".join(draw.rng.sample(OPTIONS, draw.rng.choice((1, 1, 2))))
        cells[draw.rng.choice(("options_with", "options_without"))] = names
    if draw.odd(0.1):
        # One slip of the pen on a page's row makes another's slip no word.
        cells["options_without"] = MISSPELT
        cells |= {"checked_by": None, "checked_on": None} if draw.chance(0.7) else {}
    if draw.odd(0.2) or (draw.focus == "overrides" and draw.chance(0.25)):
        cells["further_condition"] = "serial number 104233 and up"
    source = f"source-{draw.rng.choice((1, 1, 2, 3, 4, 5))}"
    model = MODELS[1] if draw.odd(0.1) else MODELS[0]
    make = "QUILLON" if draw.chance(0.1) else MAKE
    cells |= {"make": make, "model": model, "otherwise": "any" if otherwise else None}
    group = draw.add("vehicle_group", source, **cells)
    draw.group_kind[str(group["vehicle_group_id"])] = "strict" if strict else "loose"
    return group


def draw_bounds(draw: Draw) -> Row:
    """Build dates that end on, just before or just after the car's day or month."""
    first = draw.rng.choice((None, BUILT, BUILT + timedelta(1), date(2021, 3, 1)))
    last = draw.rng.choice((None, BUILT, date(2021, 3, 31), BUILT - timedelta(1)))
    if first and last and first > last:
        last = None
    return {
        "built_from": first.isoformat() if first else None,
        "built_to": last.isoformat() if last else None,
    }


# ---------------------------------------------------------------- statements


def draw_statements(draw: Draw) -> None:
    """Statements of one temper, now and then of another."""
    rng = draw.rng
    temper = rng.choice(("permitted", "permitted", "permitted", "mixed", "strict", "vague"))
    if draw.focus != "anything":
        temper = rng.choice(("permitted", "mixed")) if draw.focus == "overrides" else "permitted"
    number = rng.choice((0, 1, 2, 3, 4, 5, 6, 7, 8, 10) if draw.odd(1) else (2, 2, 3, 4))
    base = draw_procedure(draw)
    other = base.copy()
    differ(draw, other)
    for _ in range(rng.choice((1, 2)) if draw.focus == "weights" else number):
        group = rng.choice(draw.reference["vehicle_group"])
        permission = rng.choices(PERMISSIONS, TEMPERS[temper])[0]
        if draw.group_kind[str(group["vehicle_group_id"])] == "loose" and permission == "permitted":
            permission = rng.choice(PERMISSIONS[1:])
        same = draw.chance(0.98 if draw.agree else 0.6)
        draw_statement(draw, group, permission, base if same else other)


def draw_statement(draw: Draw, group: Row, permission: str, base: Procedure) -> None:
    permitted = permission == "permitted"
    plain_talk = 1 if draw.focus in ("anything", "weights") else 10
    purposes = ("recreational",) * 8 * plain_talk + ("emergency",)
    purposes += () if permitted else ("any",) * 3
    others = ("front_wheels_up", "rear_wheels_up", "on_trailer")
    methods = ("four_wheels_down",) * 12 * plain_talk + others
    sources = [1, 2, 4, 4] if draw.focus == "overrides" else [1, 1, 2, 4]
    if not permitted or group["market"] in ("xa", "xb", "xa | xb", "xb | xa"):
        sources.append(3)
    statement = draw.add(
        "eligibility",
        f"source-{draw.rng.choice(sources)}",
        vehicle_group_id=group["vehicle_group_id"],
        towing_method=draw.rng.choice(methods),
        purpose=draw.rng.choice(purposes),
        permission=permission,
        section_heading="Bringing it along",
    )
    if permission != "not_addressed" and draw.chance(OVERRIDING[draw.focus]):
        draw_overrides(draw, statement, group)
    if permitted and statement["towing_method"] == "four_wheels_down":
        write_procedure(draw, statement, group, base)


def kindred(draw: Draw, statement: Row, group: Row) -> list[Row]:
    """Earlier statements of one make, model, method and kind of purpose."""
    models = {row["vehicle_group_id"]: row["model"] for row in draw.reference["vehicle_group"]}
    return [
        other
        for other in draw.reference["eligibility"]
        if other is not statement
        and models[other["vehicle_group_id"]] == group["model"]
        and other["towing_method"] == statement["towing_method"]
        and (other["purpose"] == "emergency") == (statement["purpose"] == "emergency")
    ]


def draw_overrides(draw: Draw, statement: Row, group: Row) -> None:
    """One or two earlier statements, so that chains arise and no circle."""
    earlier = kindred(draw, statement, group)
    chosen = draw.rng.sample(earlier, min(len(earlier), draw.rng.choice((1, 1, 2))))
    if chosen:
        statement["overrides"] = ", ".join(str(other["eligibility_id"]) for other in chosen)


# ---------------------------------------------------------------- procedures


def step(phase: str, kind: str, component: str, action: str, **cells: str) -> dict[str, Any]:
    return {
        "phase": phase,
        "kind": kind,
        "component": component,
        "action": action,
        "pulls": [],
        **cells,
    }


def limit(quantity: str, value: str, unit: str, **cells: str) -> Row:
    row: Row = {"quantity": quantity, "bound": "at_most", "scope": "always", "stated": "number"}
    return row | {"value": value, "unit": unit} | cells


def draw_procedure(draw: Draw) -> Procedure:
    """Some steps of a pool, in its order, and some limits."""
    pull = {"action": "pull", "device": "fuse", "panel": "Under the dash", "position": "F12"}
    steps = [
        step("once", "do", "harness", "attach", text="Fit the harness."),
        step("before", "do", "ignition", "turn_to", target="accessory"),
        step("before", "do", "transfer_case", "shift_to", target="neutral"),
        step("before", "do", "accessories", "turn_off", text="Turn all of it off."),
        step("before", "wait", "engine", "wait", value="5", unit="min"),
        step("before", "do", "fuse", "pull", text="Pull the fuse F12."),
        step("en_route", "do", "engine", "run", value="5", unit="min", only_when="below -10 degC"),
        step("after", "do", "doors", "close", text="Close the doors."),
        step("after", "verify", "display", "check", text="The lamp is out."),
        step("after", "do", "transmission", "shift_to", target="park"),
    ]
    steps[5]["pulls"] = [{**pull, "restore": "before_engine_start"}]
    limits = [
        limit("speed", "65", "mph"),
        limit("distance", "200", "mi", scope="per_day", alternative_no="1"),
        limit("time", "2", "h", scope="per_day", alternative_no="1"),
        limit("distance", "100", "mi", scope="between_engine_runs", alternative_no="2"),
        limit("engine_run", "5", "min", bound="at_least", scope="between_engine_runs"),
    ]
    share = draw.rng.choice((0, 0.5, 0.9))
    return Procedure(
        [each for each in steps if draw.chance(share)],
        [each for each in limits if draw.chance(share)],
    )


SIXTY_FIVE: tuple[Row, ...] = (
    {"value": "104.60736", "unit": "km/h"},
    {"also_value": "105", "also_unit": "km/h"},
    {"value": "105", "unit": "km/h", "also_value": "65", "also_unit": "mph"},
)


def reword(draw: Draw, made: Procedure) -> None:
    """Says the same: other wording, another unit, a warning, other labels."""
    labels = draw.rng.choice(({"1": "1", "2": "2", "9": "9"}, {"1": "7", "2": "3", "9": "1"}))
    for each in made.steps:
        if draw.chance(0.3) and each.get("value") == "5" and each["unit"] == "min":
            each |= {"value": draw.rng.choice(("300", "300.0")), "unit": "s"}
        if draw.chance(0.3) and not each.get("target") and each.get("text"):
            each["text"] = f"  {each['text'].upper()}".replace(" ", "  ").strip()
        elif draw.chance(0.3) and (each.get("target") or each["kind"] != "do"):
            each |= {"text": "In other words.", "expect": "a lamp lights", "quote": "Elsewhere."}
        if draw.chance(0.3) and each.get("only_when"):
            each["only_when"] = "Below  -10 degC"
    for row in made.limits:
        reword_limit(draw, row)
        if row.get("alternative_no"):
            row["alternative_no"] = labels[str(row["alternative_no"])]
    if draw.chance(0.3):
        place = draw.rng.randrange(len(made.steps) + 1)
        made.steps.insert(place, step("before", "warning", "vehicle", "never", text="Take care."))
        made.steps.sort(key=lambda s: ("once", "before", "en_route", "after").index(s["phase"]))


def reword_limit(draw: Draw, row: Row) -> None:
    """Another unit, or a second one whose figure is not the stricter."""
    if row["value"] == "65" and row["unit"] == "mph" and draw.chance(0.5):
        row |= draw.rng.choice(SIXTY_FIVE)  # 65 mph is 104.60736 km/h
    if row["quantity"] == "engine_run" and draw.chance(0.3):
        row |= {"also_value": draw.rng.choice(("300", "299")), "also_unit": "s"}


def differ(draw: Draw, made: Procedure) -> None:
    """Says something else, in one place."""
    if made.steps and draw.chance(0.6):
        differ_in_a_step(draw, made)
    elif made.limits and draw.chance(0.9):
        row = draw.rng.choice(made.limits)
        changes: list[Row] = [{"value": "66"}, {"alternative_no": "9"}, {"scope": "start_of_day"}]
        if row["unit"] == "mph":
            pair: Row = {"also_value": draw.rng.choice(("104", "100")), "also_unit": "km/h"}
            changes += [pair, pair, {"stated": "posted_limit", "value": None, "unit": None}]
        if row["quantity"] == "engine_run":
            changes.append({"also_value": "301", "also_unit": "s"})
        row |= draw.rng.choice(changes)
    else:
        made.limits.append(limit("grade", "8", "%"))


def differ_in_a_step(draw: Draw, made: Procedure) -> None:
    each = draw.rng.choice(made.steps)
    before = [s for s in made.steps if s["phase"] == "before"]
    if len(before) > 1 and draw.chance(0.3):
        made.steps.sort(key=lambda s: (PHASES[s["phase"]], -before.index(s) if s in before else 0))
    elif each["pulls"]:
        changes = ({"position": "F13"}, {"restore": "not_stated"}, {"panel": "Under the hood"})
        each["pulls"][0] |= draw.rng.choice(changes)
    elif each.get("value"):
        each |= draw.rng.choice(({"value": "6"}, {"unit": "s"}, {"only_when": "uphill"}))
    elif each.get("target"):
        each |= draw.rng.choice(
            ({"only_when": "in rain"}, {"target": "neutral"}, {"kind": "verify"})
        )
    else:
        each |= draw.rng.choice(({"text": "Do it otherwise."}, {"component": "lamps"}))
    for pull_step in made.steps:
        pull_step["component"] = "fuse" if pull_step["pulls"] else pull_step["component"]


PHASES = {"once": 0, "before": 1, "en_route": 2, "after": 3}


def write_procedure(draw: Draw, statement: Row, group: Row, base: Procedure) -> None:
    """Steps of its own, or another's; the printed counts are those of the rows."""
    made = base.copy()
    if draw.chance(0.6):
        reword(draw, made)
    with_steps = {row["eligibility_id"] for row in draw.reference["procedure_step"]}
    hosts = [s for s in kindred(draw, statement, group) if s["eligibility_id"] in with_steps]
    write_limits(draw, statement, made)
    if hosts and draw.chance(0.3):
        statement["same_steps_as"] = draw.rng.choice(hosts)["eligibility_id"]
        return
    write_steps(draw, statement, made)


def write_limits(draw: Draw, statement: Row, made: Procedure) -> None:
    statement["limits"] = str(len(made.limits))
    for row in draw.rng.sample(made.limits, len(made.limits)):
        own = {"eligibility_id": statement["eligibility_id"]}
        draw.add_child("towing_limit", statement, **own, **row)


def write_steps(draw: Draw, statement: Row, made: Procedure) -> None:
    """Numbered from 1 inside each phase; several rows may bear one printed number."""
    step_no: Counter[str] = Counter()
    printed: dict[str, set[int]] = {phase: set() for phase in PHASES}
    number = pulls = 0
    for each in made.steps:
        cells = {name: text for name, text in each.items() if name != "pulls"}
        step_no[each["phase"]] += 1
        if each["kind"] != "warning":
            shared = number in printed[each["phase"]] and draw.chance(0.15)
            number += 0 if shared else 1
            printed[each["phase"]].add(number)
            cells["printed_no"] = str(number)
        own = {
            "eligibility_id": statement["eligibility_id"],
            "step_no": str(step_no[each["phase"]]),
        }
        row = draw.add_child("procedure_step", statement, **own, **cells)
        for pull in each["pulls"]:
            pulls += 1
            key = {"procedure_step_id": row["procedure_step_id"]}
            draw.add_child("fuse_pull", row, **key, **pull)
    statement["steps_before"] = str(len(printed["once"]) + len(printed["before"]))
    statement["steps_en_route"] = str(len(printed["en_route"]))
    statement["steps_after"] = str(len(printed["after"]))
    statement["fuse_pulls"] = str(pulls)


# ---------------------------------------------------------------- weights


def plain(number: Decimal) -> str:
    return format(number.normalize(), "f")


def printed(pounds: Decimal) -> Decimal:
    """A weight as a label prints it: to a hundredth of a pound."""
    return pounds.quantize(Decimal("0.01"))


def beside(draw: Draw, pounds: Decimal) -> Decimal:
    """Exactly at a bound, just below or just above it."""
    return printed(pounds) + Decimal(draw.rng.choice(("0", "0", "0.01", "-0.01")))


def figure(draw: Draw, pounds: Decimal, pairs: bool = True) -> Row:
    """In lb, in kg (exactly where six decimals allow it), or as a pair of both."""
    kilograms = pounds * POUND
    exact = kilograms == kilograms.quantize(Decimal("0.000001"))
    if exact and draw.chance(0.2):
        return {"value": plain(kilograms), "unit": "kg"}
    row: Row = {"value": plain(pounds), "unit": "lb"}
    if pairs and draw.chance(0.2):
        also = kilograms.quantize(Decimal(1)) + draw.rng.choice((0, 0, 1, -1))
        row |= {"also_value": plain(max(also, Decimal(1))), "also_unit": "kg"}
    return row


def nearby(draw: Draw) -> Decimal:
    """Exactly at, just below, just above, or well away."""
    return Decimal(draw.rng.choice(("0", "0", "0", "0", "0.01", "-0.01", "100", "-100", "500")))


def draw_vehicle_properties(draw: Draw) -> None:
    """Within a group no curb weight above a gvwr; between groups anything."""
    for group in draw.reference["vehicle_group"]:
        own = {"vehicle_group_id": group["vehicle_group_id"]}
        with_gross = draw.chance(0.6)
        for _ in range(draw.rng.choice((1, 1, 1, 2)) if with_gross else 0):
            source = f"source-{draw.rng.choice((1, 1, 2, 3, 5))}"
            cells = figure(draw, draw.towed + nearby(draw))
            draw.add("vehicle_property", source, **own, property="gvwr", **cells)
        if draw.chance(0.4):
            heavy = not with_gross and draw.chance(0.15)
            curb = draw.towed + (300 if heavy else -700) + nearby(draw)
            source = f"source-{draw.rng.choice((1, 2, 5))}"
            cells = figure(draw, curb)
            draw.add("vehicle_property", source, **own, property="curb_weight", **cells)


Figures = list[tuple[str, Decimal | None]]  # property and pounds; None is `none stated`


def draw_coach_weights(draw: Draw, loaded: Decimal) -> Figures:
    """A full ticket, a partial one with what is still to add, less, or nothing."""
    rng = draw.rng
    mode = rng.choice(("loaded", "loaded", "both", "sum", "sum", "part", "unloaded", "axles"))
    mode = "none" if draw.odd(0.2) else mode
    if draw.odd(0.15):  # kilograms that were typed as pounds
        loaded = printed(loaded * POUND)
    found: Figures = []
    if mode in ("loaded", "both"):
        found += [("loaded_weight", loaded)] * rng.choice((1, 1, 1, 2))
    if mode in ("sum", "both"):
        more = rng.choice((Decimal(0), Decimal(400)))
        found += [("part_loaded_weight", loaded - more), ("still_to_add", more)]
    less = rng.choice((Decimal(0), Decimal(900)))
    if mode == "part":
        found.append(("part_loaded_weight", loaded - less))
    if mode == "loaded" and draw.odd(0.2):
        found.append(("part_loaded_weight", loaded + rng.choice((Decimal("0.01"), Decimal(150)))))
    if mode == "unloaded":
        found.append(("unloaded_weight", loaded - less))
    elif draw.chance(0.25):
        empty = beside(draw, loaded) if draw.odd(0.5) else loaded - 3000
        found.append(("unloaded_weight", empty))
    return found + draw_axles(draw, loaded, mode)


def draw_axles(draw: Draw, loaded: Decimal, mode: str) -> Figures:
    """Both axles, or one; what they weigh together is the loaded weight, about it, or far off."""
    rng = draw.rng
    if mode != "axles" and not draw.chance(0.2):
        return []
    if mode != "axles" and draw.odd(0.5):
        # Two scales: by exactly 2 % of the larger, by a hair less or more, or by far.
        off = rng.choice(("0.98", "0.98", "0.9"))
        loaded = beside(draw, loaded * Decimal(off) if draw.chance(0.5) else loaded / Decimal(off))
    front = (loaded * Decimal(rng.choice(("0.3", "0.4")))).quantize(Decimal(1))
    found: Figures = [("axle_front_loaded", front), ("axle_rear_loaded", loaded - front)]
    return [rng.choice(found)] if draw.odd(0.2) else found


def draw_axle_ratings(draw: Draw, weights: Figures) -> Figures:
    """A rating beside most tickets, now and then one that is exceeded; some without a ticket."""
    spares = ["-0.01", "-300"] if draw.odd(0.25) else ["0", "0.01", "700", "700", "700"]
    ratings: Figures = []
    for ticket, name in (("axle_front_loaded", "gawr_front"), ("axle_rear_loaded", "gawr_rear")):
        weighed = [pounds for weight, pounds in weights if weight == ticket]
        if weighed and weighed[0] is not None and draw.chance(0.8):
            ratings.append((name, weighed[0] + Decimal(draw.rng.choice(spares))))
        elif draw.chance(0.1):
            ratings.append((name, Decimal(12000)))
    return ratings


def draw_coach_ratings(draw: Draw, loaded: Decimal) -> Figures:
    """Ample, or near what the car weighs; None is `none stated`."""
    rng, towed = draw.rng, draw.towed
    slack = Decimal(rng.choice(("0", "0", "600", "1500", "3000")))
    gross = loaded + Decimal(rng.choice(("0", "500", "500", "0.01")))
    if draw.odd(0.3):
        gross = loaded - Decimal(rng.choice(("0.01", "0.01", "400", "900.01")))
    elif draw.odd(0.1):  # no coach weighs half of what it may
        gross = beside(draw, 2 * loaded)
    top = max(loaded, gross) if draw.chance(0.7) else loaded
    plain_rating = towed + slack
    stated = rng.choice(("word", "figure", "figure", "both"))
    stated = "nothing" if draw.odd(0.3) else stated
    with_mode = not draw.odd(0.2)
    without_mode = draw.chance(0.15 if with_mode else 0.4)
    offered: list[tuple[bool, str, Decimal | None]] = [
        (not draw.odd(0.15), "gvwr", gross),
        (not draw.odd(0.15), "gcwr", top + plain_rating + nearby(draw)),
        (with_mode, "hitch_receiver", plain_rating + nearby(draw)),
        (without_mode, "hitch_receiver_mode_not_printed", plain_rating + nearby(draw)),
        (stated in ("word", "both"), "towing_capacity", None),
        (stated in ("figure", "both"), "towing_capacity", plain_rating + nearby(draw)),
        (draw.chance(0.1), "hitch_receiver_weight_distributing", towed + 4000),
    ]
    return [(name, pounds) for there, name, pounds in offered if there]


def draw_coach_figures(draw: Draw) -> Figures:
    """Properties and pounds; some have two figures."""
    loaded = Decimal(draw.rng.choice(("18000", "21300")))
    weights = draw_coach_weights(draw, loaded)
    found = weights + draw_coach_ratings(draw, loaded) + draw_axle_ratings(draw, weights)
    twice = [(n, p + nearby(draw)) for n, p in found if p and p > 1000 and draw.chance(0.12)]
    return found + twice


def draw_coach(draw: Draw) -> CoachFile | str:
    """As a coach file, or as a coach of the reference."""
    found = draw_coach_figures(draw)
    # A coach file without a figure is refused; a coach on record may have none.
    if draw.chance(0.5) and found:
        return typed_coach(draw, found)
    plate, ticket = "source-6", "source-7"
    coach = draw.add("coach", plate, name="Brackwater 38")
    for name, pounds in found:
        own: Row = {"coach_id": coach["coach_id"], "property": name}
        cells = {"word": "none_stated"} if pounds is None else figure(draw, pounds)
        weighed = name in TICKETS
        if pounds == 0:
            cells = {"value": "0", "unit": "lb"}
        draw.add("coach_property", ticket if weighed else plate, **own, **cells)
    return str(coach["coach_id"])


def typed_coach(draw: Draw, found: Figures) -> CoachFile:
    coach: CoachFile = {}
    for name, pounds in found:
        text = "none stated"
        if pounds is not None:
            cells = figure(draw, pounds, pairs=False)
            text = f"{cells['value']} {cells['unit']}"
        coach.setdefault(name, []).append(
            {"value": text, "read_from": draw.rng.choice(("a plate", "a ticket", None))}
        )
    return coach


# ---------------------------------------------------------------- candidates


def said_word(draw: Draw, attribute: str) -> str | None:
    """The car's own leaf; broader, another, in other writing, or nothing."""
    own, other, broad = CLOSED[attribute]
    if draw.chance(draw.vague):
        return draw.rng.choice((None, None, broad, other))
    written = (own, own, own.upper(), own.replace("_", " "), own.replace("_", "-"))
    return draw.rng.choice(written)


def draw_candidate(draw: Draw, name: str) -> Row:
    rng = draw.rng
    row: Row = dict.fromkeys(CANDIDATE)
    row |= {"candidate": name, "make": rng.choice((MAKE, MAKE, " quillon")), "model": MODELS[0]}
    row["model_year"] = (
        None
        if draw.chance(draw.vague / 2)
        else rng.choice(("2021", "2021", "2021", "2021", "2020"))
    )
    for attribute in CLOSED:
        row[attribute] = said_word(draw, attribute)
    for attribute, (own, other) in FREE.items():
        row[attribute] = rng.choice((own, own, own, own.lower(), own))
        if draw.chance(draw.vague):
            row[attribute] = rng.choice((None, "Ridge", other))
    day = BUILT.isoformat()
    row["built_on"] = rng.choice((day, day, day, "2021-03", "2021-04", "2021-03-16", None))
    row["options"] = rng.choice((None, "none", *OPTIONS, ", ".join(OPTIONS[:2]), MISSPELT))
    row["options_complete"] = rng.choice(("yes", "yes", "no", None))
    if draw.chance(0.5):
        groups = [str(g["vehicle_group_id"]) for g in draw.reference["vehicle_group"]]
        row["confirmed"] = ", ".join(rng.sample(groups, min(len(groups), 3)))
    if draw.chance(0.15) and draw.reference["eligibility"]:
        permits = [s for s in draw.reference["eligibility"] if s["permission"] == "permitted"]
        row["procedure"] = rng.choice(permits or draw.reference["eligibility"])["eligibility_id"]
    if draw.odd(0.06):
        row |= rng.choice(({"make": None}, {"model": None}, {"model": "Dorade"}, {"model": "Pica"}))
    return named_otherwise(row | draw_candidate_weights(draw))


def named_otherwise(row: Row) -> Row:
    """With a VIN that now and then says another year, or a model and more in one cell.

    Both are drawn apart: nothing else of a world changes by them.
    """
    rng = Random(repr(sorted(row.items())))
    # Place 7 tells two years of one code apart up to 10,000 lb; 0 at place 10 means no year.
    places = (("B", "M"), ("B", "M"), ("B", "L"), ("4", "M"), ("B", "0"))
    seventh, tenth = rng.choice(places)
    vin = f"ZX9AA1{seventh}90{tenth}A000001"
    row["vin"] = rng.choice((None, None, None, vin, vin, vin.lower(), vin[1:]))
    if row["model"] == "Pica" and rng.random() < 0.5:
        row["model"] = rng.choice(("Pika Trail", "PIKA-trail 2021", "Pikara", "Pika -"))
    return row


def recorded(draw: Draw, name: str) -> Decimal | None:
    """The pounds of some figure on record, or of what the car's weights are drawn around."""
    rows = [r for r in draw.reference["vehicle_property"] if r["property"] == name]
    if not rows:
        return None
    row = draw.rng.choice(rows)
    value = Decimal(str(row["value"]))
    return printed(value / POUND if row["unit"] == "kg" else value)


def slipped(draw: Draw, pounds: Decimal) -> Decimal:
    """Kilograms that were typed as pounds, or a digit that was lost."""
    return printed(pounds * (POUND if draw.chance(0.7) else Decimal("0.1")))


def draw_weighed(draw: Draw) -> Decimal:
    """At the coach's limits; at, near or below nine tenths of a curb weight; or a slip."""
    curb = recorded(draw, "curb_weight")
    if draw.odd(0.1):
        return slipped(draw, draw.towed)
    if curb is not None and draw.chance(0.3):
        share = draw.rng.choice(("0.9", "0.9", "0.9", "0.95", "1"))
        return beside(draw, curb * Decimal(share))
    return draw.towed + nearby(draw)


def draw_typed_gross(draw: Draw) -> Decimal:
    """At the coach's limits; at or beyond nine or eleven tenths of one on record; or a slip."""
    gross = recorded(draw, "gvwr")
    if draw.odd(0.1):
        return slipped(draw, draw.towed)
    if gross is not None and draw.chance(0.2):
        return beside(draw, gross * Decimal(draw.rng.choice(("0.9", "0.9", "0.8", "1.1"))))
    return draw.towed + nearby(draw)


def draw_candidate_weights(draw: Draw) -> Row:
    """Exactly at, just below and just above the figures of the reference and the coach."""
    rng, towed = draw.rng, draw.towed
    row: Row = {}
    bare = draw.odd(0.4)
    if not bare and draw.chance(0.35):
        row["as_weighed"] = weight_text(draw, draw_weighed(draw), row)
    if not bare and draw.chance(0.5):
        row["gvwr"] = weight_text(draw, draw_typed_gross(draw), row)
    if draw.chance(0.25):
        less = Decimal(rng.choice(("0", "0", "-0.01", "-90") if draw.odd(0.6) else ("800", "600")))
        row["curb_weight"] = weight_text(draw, towed - less, row)
    if draw.chance(0.15):
        row["load"] = weight_text(
            draw, Decimal(rng.choice(("0", "100", "800" if draw.odd(1) else "50"))), row
        )
    return row


def weight_text(draw: Draw, pounds: Decimal, row: Row) -> str:
    """With its own unit, with thousands separated, or bare beside `weight_unit`."""
    cells = figure(draw, pounds, pairs=False)
    value, unit = str(cells["value"]), str(cells["unit"])
    if unit == "kg" and draw.chance(0.4) and pounds:
        value = plain(Decimal(value) + draw.rng.choice((1, -1)) * Decimal("0.000001"))
    whole, _, rest = value.partition(".")
    if draw.chance(0.3):
        value = f"{int(whole):,}" + (f".{rest}" if rest else "")
    if row.get("weight_unit") in (None, unit) and draw.chance(0.3):
        row["weight_unit"] = unit
        return value
    return f"{value} {draw.rng.choice((unit, unit.upper()))}"


# ---------------------------------------------------------------- worlds


def draw_world(rng: Random) -> World:
    """One small reference, one to three candidates, a coach and a policy."""
    draw = Draw(rng)
    draw_sources(draw)
    for _ in range(rng.choice((1, 2, 3, 4, 6, 8) if draw.focus == "anything" else (1, 2, 3))):
        draw_group(draw)
    draw_statements(draw)
    if draw.focus == "weights":
        draw.unchecked, draw.hostile = rng.choice((0, 0.05, 0.2)), rng.choice((0.2, 1))
    draw_vehicle_properties(draw)
    coach = draw_coach(draw)
    candidates = [draw_candidate(draw, f"car {n + 1}") for n in range(rng.choice((1, 2, 3)))]
    policy = {"weigh_by": rng.choice(("best_known", "best_known", "best_known", "gvwr"))}
    for table in draw.reference.values():
        rng.shuffle(table)
    return World(draw.reference, candidates, coach, ON, policy)


def presence_patterns() -> Iterator[World]:
    """Every presence of {permits, forbids} x {checked, unchecked} x {sure, possible}: 256."""
    kinds = list(product(("permitted", "prohibited"), (True, False), (True, False)))
    for present in product((False, True), repeat=len(kinds)):
        draw = Draw(Random(0))
        draw.unchecked = draw.withdrawn = 0
        draw_sources(draw)
        groups = {}
        for sure in (True, False):
            cells = dict.fromkeys((*CLOSED, *FREE), "any")
            cells |= {"model_year_from": "2019", "model_year_to": "2022", "model": MODELS[0]}
            cells |= {} if sure else {"transmission": "manual"}
            groups[sure] = draw.add("vehicle_group", "source-1", make=MAKE, **cells)
        for (permission, checked, sure), there in zip(kinds, present, strict=True):
            if there:
                add_plain_statement(draw, groups[sure], permission, checked)
        coach: CoachFile = {
            name: [{"value": value, "read_from": "a plate"}]
            for name, value in (
                *(("hitch_receiver", "5000 lb"), ("gcwr", "26000 lb"), ("gvwr", "20000 lb")),
                *(("loaded_weight", "19000 lb"), ("towing_capacity", "none stated")),
            )
        }
        car: Row = dict.fromkeys(CANDIDATE)
        car |= {"candidate": "car 1", "make": MAKE, "model": MODELS[0], "model_year": "2021"}
        yield World(draw.reference, [car | {"gvwr": "4400 lb"}], coach)


def add_plain_statement(draw: Draw, group: Row, permission: str, checked: bool) -> None:
    """One statement without steps and limits."""
    counts = ("steps_before", "steps_en_route", "steps_after", "fuse_pulls", "limits")
    cells: Row = dict.fromkeys(counts, "0" if permission == "permitted" else None)
    cells |= {} if checked else {"checked_by": None, "checked_on": None}
    cells |= {"towing_method": "four_wheels_down", "purpose": "recreational"}
    cells |= {"vehicle_group_id": group["vehicle_group_id"], "permission": permission}
    draw.add("eligibility", "source-1", **cells)


# ---------------------------------------------------------------- census


def census(n: int, seed: int = 0) -> dict[str, Counter[str]]:
    """How often each verdict, outcome and reason, and governing check occurs in n worlds."""
    from tests.helpers import oracle

    counts: dict[str, Counter[str]] = {}

    def count(what: str, word: str | None) -> None:
        counts.setdefault(what, Counter())[str(word)] += 1

    rng = Random(seed)
    for _ in range(n):
        world = draw_world(rng)
        found = oracle.screen(
            world.reference, world.candidates, world.coach, world.on, world.policy["weigh_by"]
        )
        count("capacity governed by", found.coach.governing_check)
        count("capacity at most governed by", found.coach.at_most_check)
        for caution in found.coach.cautions:
            count("caution of the coach", caution)
        for name in found.coach.not_judged:
            count("axle not judged", name)
        for answer in found.answers:
            count("verdict", answer.verdict)
            count("governing check", f"{answer.governing_check} of {answer.verdict}")
            count("basis", answer.towed.basis)
            for name, check in answer.checks.items():
                count(f"check {name}", f"{check.outcome} {check.reason}")
            for caution in answer.cautions:
                count("caution", caution)
            for remark in answer.remarks:
                count("remark", remark[0])
    return counts


def main() -> None:
    for what, words in census(int(sys.argv[1]) if len(sys.argv) > 1 else 2000).items():
        print(what)
        for word, number in words.most_common():
            print(f"  {number:7}  {word}")


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    main()
