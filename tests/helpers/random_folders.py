"""Random reference folders in which no rule can find an error, by construction."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from pathlib import Path

from hypothesis import strategies as st

from tests.helpers.folders import Row
from towdb.contract.model import Field, Unit, Word, contract
from towdb.contract.quantities import parse_quantity


class Tables(dict[str, list[Row]]):
    """The rows of each table. A failing test says which; all of a folder would bury that."""

    def __repr__(self) -> str:
        return f"<a folder of {sum(map(len, self.values()))} rows>"


# Columns that no rule of severity error looks at: any value of their type will do, and if they are
# not required, none. The dates among them are drawn so that every range runs forward.
FREE = {
    "source": "title issuer document_number edition language published_on obtained_on file_name"
    " file_sha256 withdrawn_on invented",
    "vehicle_group": "body_style steering parking_brake shifter ignition otherwise built_from"
    " built_to options_with options_without further_condition file_page",
    "eligibility": "section_heading file_page",
    "towing_limit": "alternative_no bound scope file_page",
    "procedure_step": "action target only_when text expect if_not file_page",
    "fuse_pull": "device panel position rating_a circuit disables restore file_page",
    "vehicle_property": "definition file_page",
    "coach": "name model_year note file_page",
    "coach_property": "definition file_page",
    "equipment": "kind name maker model file_page",
    "equipment_property": "per strength_basis definition file_page",
    "equipment_fit": "fits note file_page",
    "towing_rule": "topic towed_scope attaches_to road_class purposes_excluded effective_from"
    " effective_to text file_page",
    "towing_rule_term": "group_no measured_as per file_page",
    "general_step": "people caution file_page",
}
TEXTS = [
    "plain", "with, comma", 'with "quotes"', "line\nbreak", "tab\there", "NA", "nan", "NULL",
    "007", "1,000", "=1+1", "'; DROP TABLE x; --", "Überlänge · 1,5 m – °", "not any", "a | b",
]  # fmt: skip
FREE_WORDS = ["Trail", "Trail | Summit", "not Trail", "2.0 L | 1.4 L", "not a | b, c"]
OPTION_LISTS = ["tow package", "tow package, heavy battery", "a,b ,c"]
PEOPLE = ["Imre Solvang", "imre  SOLVANG", "Dunya Orrel"]
LATE = {"built_to", "effective_to", "withdrawn_on"}
MANUALS = ["owner_manual", "manual_supplement", "technical_bulletin"]
METHODS = ["four_wheels_down", "front_wheels_up", "rear_wheels_up", "on_trailer"]
FORBIDDING = ["not_recommended", "prohibited", "refer_to_maker"]
# In kilograms and metres: no gross rating below a curb weight, no least above a greatest.
APART = {
    "gvwr": ("2000", "5000"), "curb_weight": ("500", "1900"),
    "length_min": ("0.2", "1"), "length_max": ("1.1", "3"),
    "drop_min": ("-1", "0"), "drop_max": ("0.1", "1"),
}  # fmt: skip
SLOTS = {
    "coupling": ["vehicle_before_pinned", "vehicle_pinned"],
    "driving": ["vehicle_en_route"],
    "uncoupling": ["vehicle_still_pinned", "vehicle_unpinned"],
}


def write(tables: Tables, target: Path) -> dict[str, list[int]]:
    """Write a folder; the line on which each row of each table begins."""
    lines: dict[str, list[int]] = {}
    for name, spec in contract().tables.items():
        with (target / f"{name}.csv").open("w", encoding="utf-8", newline="") as stream:
            writer = csv.DictWriter(stream, spec.columns, lineterminator="\n")
            writer.writeheader()
            writer.writerows(tables[name])
        line, lines[name] = 2, []
        for row in tables[name]:
            lines[name].append(line)
            line += 1 + sum(cell.count("\n") for cell in row.values())
    return lines


@st.composite
def folders(draw: st.DrawFn, everything: bool = False) -> Tables:
    """A folder; `everything`: one that fills every column of every table at least once."""
    maker = Maker(draw, everything)
    manual, label, gear, law = (maker.source(kind) for kind in ("manual", "label", "gear", "law"))
    group = _vehicles(maker, manual, label)
    _coach(maker, gear["source_id"])
    _equipment(maker, gear["source_id"], group)
    _law(maker, law["source_id"])
    _general_steps(maker, gear["source_id"])
    return Tables(
        {name: rows[::-1] if maker.chance() else rows for name, rows in maker.tables.items()}
    )


def free_value(draw: st.DrawFn, field: Field) -> str:
    """A value that a free column may hold."""
    match field.type:
        case "integer":
            return str(draw(st.integers(field.minimum, field.maximum)))
        case "number":
            return draw(st.sampled_from(["0", "7.5", "15", "15.000000", "500"]))
        case "date":
            first = date(2020, 1, 1) if field.name in LATE else date(1995, 1, 1)
            return (first + timedelta(draw(st.integers(0, 9000)))).isoformat()
        case "words" if not field.vocabulary:
            return draw(st.sampled_from(FREE_WORDS))
        case "words" | "word" | "word_list":
            assert field.vocabulary
            words = list(contract().vocabularies[field.vocabulary].words)
            return draw(_cells(words)[field.type])
        case "text_list":
            return draw(st.sampled_from(OPTION_LISTS))
        case "yes_no":
            return draw(st.sampled_from(["yes", "no"]))
    if field.pattern:
        return draw(st.sampled_from("0a9f")) * 64
    assert field.max_length
    longest = "x" * field.max_length
    return draw(
        st.sampled_from([*(t for t in TEXTS if len(t) <= len(longest)), longest]) | _PRINTED
    )


# Marks and letters that show nothing (UAX #44, Default_Ignorable_Code_Point), and an empty pattern
# of Braille: a reference may not hold them.
_SHOWS_NOTHING = (
    "\u034f\u115f\u1160\u17b4\u17b5\u180b\u180c\u180d\u180f\u2800\u3164\uffa0"
    + "".join(chr(code) for code in (*range(0xFE00, 0xFE10), *range(0xE0100, 0xE01F0)))
)
# Whatever can be printed, outer white space off: the field may not have it.
_PRINTED = (
    st.text(
        st.characters(
            exclude_categories=["C", "Zl", "Zp"],
            exclude_characters=_SHOWS_NOTHING,
        ),
        min_size=1,
        max_size=8,
    )
    .map(str.strip)
    .filter(bool)
)


def _cells(words: Sequence[str]) -> dict[str, st.SearchStrategy[str]]:
    some = st.lists(st.sampled_from(words), min_size=1, max_size=2, unique=True)
    listed = some.map(" | ".join)
    return {
        "word": st.sampled_from(words),
        "word_list": some.map(", ".join),
        "words": st.one_of(st.just("any"), listed, listed.map("not {}".format)),
    }


class Maker:
    """Fills the tables of one folder; every choice is hypothesis's, so that failures shrink."""

    def __init__(self, draw: st.DrawFn, everything: bool) -> None:
        self.draw = draw
        self.everything = everything
        self.tables = Tables({name: [] for name in contract().tables})

    def chance(self) -> bool:
        return self.everything or self.draw(st.booleans())

    def one(self, options: Iterable[str]) -> str:
        return self.draw(st.sampled_from(list(options)))

    def maybe(self, options: Iterable[str]) -> str:
        return self.one(options) if self.chance() else ""

    def some(self, options: Sequence[str]) -> list[str]:
        """Some of the options in their order: perhaps none, or all."""
        return [option for option in options if self.chance()]

    def add(self, table: str, source: str = "", **cells: str) -> Row:
        """A new row: the given cells, a citation, an entry, and what free columns may hold."""
        spec = contract().tables[table]
        row = dict.fromkeys(spec.columns, "")
        row[spec.key] = f"{table.replace('_', '-')}.{len(self.tables[table]) + 1}"
        if source:
            row |= {"source_id": source, "locator": self.one(TEXTS), "basis": "cited"}
            row["quote"] = free_value(self.draw, spec.field("quote"))
        for name in FREE[table].split():
            if name in spec.required or self.chance():
                row[name] = free_value(self.draw, spec.field(name))
        row |= self._entry() | cells
        self.tables[table].append(row)
        return row

    def _entry(self) -> Row:
        entered_by, entered_on = self.one(PEOPLE), date(2025, 3, self.draw(st.integers(1, 9)))
        row = {"entered_by": entered_by, "entered_on": entered_on.isoformat()}
        if self.chance():
            checked_by = self.one(PEOPLE)
            itself = checked_by.split()[0].lower() == entered_by.split()[0].lower()
            later = timedelta(self.draw(st.integers(1 if itself else 0, 40)))
            row |= {"checked_by": checked_by, "checked_on": (entered_on + later).isoformat()}
        return row

    def source(self, kind: str) -> Row:
        if kind == "manual":
            first = self.draw(st.integers(1990, 2020))
            return self.add(
                "source",
                kind=self.one(MANUALS),
                issuer_role="vehicle_maker",
                market=self.one(["any", "xa", "xa | xb", "not xd", "not xd | xe"]),
                model_year_from=str(first),
                model_year_to=str(first + self.draw(st.integers(0, 4))),
            )
        kinds = {
            "label": ("certification_label", "vehicle_maker"),
            "gear": (self.one(["part_manual", "rating_plate", "scale_ticket"]), "part_maker"),
            "law": (self.one(["statute", "regulation"]), "authority"),
        }
        return self.add("source", kind=kinds[kind][0], issuer_role=kinds[kind][1])

    def figure(self, dimension: str, low: Decimal, high: Decimal, *, pair: bool = True) -> Row:
        """A figure between two canonical bounds, with its unit and perhaps a second reading."""
        room = {
            unit.name: (unit, *_hundredths(unit, low, high))
            for unit in contract().units.values()
            if unit.dimension == dimension
        }
        room = {name: place for name, place in room.items() if place[1] <= place[2]}
        unit, first, last = room[self.one(room)]
        value = Decimal(self.draw(st.integers(first, last))) / 100
        row = {"value": f"{value:f}", "unit": unit.name}
        if pair and self.chance():
            canonical = value * unit.factor + unit.offset
            readings = {
                name: ((canonical - u.offset) / u.factor).quantize(Decimal("0.01"), ROUND_HALF_EVEN)
                for name, (u, _, _) in room.items()
            }
            readings = {n: r for n, r in readings.items() if room[n][1] <= r * 100 <= room[n][2]}
            name = self.one(readings)
            row |= {"also_value": f"{readings[name]:f}", "also_unit": name}
        return row

    def demanded(self, table: str, word: Word) -> Row:
        """What a property or quantity of this name demands."""
        if word.dimension and not (word.vocabulary and self.draw(st.booleans())):
            assert word.minimum
            assert word.maximum
            low, high = (parse_quantity(text).canonical for text in (word.minimum, word.maximum))
            if table != "coach_property" and word.name in APART:
                low, high = (Decimal(text) for text in APART[word.name])
            return self.figure(word.dimension, low, high)
        if word.value == "date":
            return {"date_value": f"19{self.draw(st.integers(70, 99))}-01-01"}
        if word.value == "rule":
            return {"word": self.one(row["towing_rule_id"] for row in self.tables["towing_rule"])}
        assert word.vocabulary
        return {"word": self.one(contract().vocabularies[word.vocabulary].words)}


def _hundredths(unit: Unit, low: Decimal, high: Decimal) -> tuple[int, int]:
    first, last = ((bound - unit.offset) / unit.factor * 100 for bound in (low, high))
    first, last = max(first, Decimal(-(10**8))), min(last, Decimal(10**10))
    return int(first.to_integral_value(ROUND_CEILING)), int(last.to_integral_value(ROUND_FLOOR))


# ---------------------------------------------------------------- vehicles


def _vehicles(maker: Maker, manual: Row, label: Row) -> str:
    """Groups, statements and properties; the id of a group."""
    group = _model(maker, manual, "Quillon", "Pika")
    if maker.draw(st.booleans()):
        _model(maker, manual, "Tarrow", "Marlet 4")
    if maker.chance():
        labelled = maker.add(
            "vehicle_group", label["source_id"], make="Quillon", model="Vole",
            model_year_from="2020", model_year_to="2020", trim="Trail", engine="not 2.0 L",
            drivetrain="all_wheel_drive", transmission="not manual",
        )  # fmt: skip
        _properties(maker, "vehicle_group", labelled["vehicle_group_id"], label["source_id"])
    return group


def _model(maker: Maker, manual: Row, make: str, model: str) -> str:
    source = manual["source_id"]
    tight = _group(maker, manual, make, model)
    loose = _loose_group(maker, manual, make, maker.one([model, model.upper()]))
    statements = Statements(maker, source, tight, loose)
    statements.permitted()
    for variant in maker.some(["exception", "sharing", "lifted", "forbidden", "silent"]):
        getattr(statements, variant)()
    _properties(maker, "vehicle_group", tight, source)
    return tight


def _group(maker: Maker, manual: Row, make: str, model: str) -> str:
    """A group that a permission may be for."""
    first, last = int(manual["model_year_from"]), int(manual["model_year_to"])
    year = maker.draw(st.integers(first, last))
    inside = {
        "any": ["any", "xa", "not xb"], "xa": ["xa"], "xa | xb": ["xb", "xb | xa"],
        "not xd": ["xa", "not xe | xd"], "not xd | xe": ["xa | xb", "not xd | xe | xc"],
    }  # fmt: skip
    row = maker.add(
        "vehicle_group", manual["source_id"], make=make, model=model,
        model_year_from=str(year), model_year_to=str(maker.draw(st.integers(year, last))),
        market=maker.one(inside[manual["market"]]),
        trim=maker.maybe([*FREE_WORDS, "any"]), engine=maker.maybe([*FREE_WORDS, "any"]),
        powertrain=maker.one(["any", "combustion", "gasoline | hybrid", "not fuel_cell"]),
        drivetrain=maker.one(["any", "front_wheel_drive", "not all_wheel_drive"]),
        transmission=maker.one(["any", "manual", "manual | dual_clutch", "not single_speed"]),
        transfer_case=maker.one(["any", "none", "two_speed_with_neutral | none"]),
    )  # fmt: skip
    return row["vehicle_group_id"]


def _loose_group(maker: Maker, manual: Row, make: str, model: str) -> str:
    """A group that says too little for a permission."""
    cells = {
        name: maker.maybe(["any", *contract().vocabularies[name].words])
        for name in ("market", "powertrain", "drivetrain", "transmission", "transfer_case")
    }
    row = maker.add(
        "vehicle_group", manual["source_id"], make=make, model=model,
        model_year_from="1900", model_year_to="2100", trim=maker.maybe(FREE_WORDS), **cells,
    )  # fmt: skip
    return row["vehicle_group_id"]


class Statements:
    """The statements of one model, each valid beside those before it."""

    def __init__(self, maker: Maker, source: str, tight: str, loose: str) -> None:
        self.maker = maker
        self.source = source
        self.tight = tight
        self.loose = loose
        self.made: list[Row] = []

    def permitted(self) -> None:
        purpose = self.maker.one(["recreational", "emergency"])
        row = self._add("permitted", METHODS[0], purpose)
        self._parts(row, counted=True)

    def exception(self) -> None:
        method, purpose = self.made[0]["towing_method"], self.made[0]["purpose"]
        row = self._add(self.maker.one(["permitted", *FORBIDDING]), method, purpose)
        row["overrides"] = self.made[0]["eligibility_id"]
        self._parts(row, counted=True)

    def sharing(self) -> None:
        row = self._add(self.maker.one(["permitted", *FORBIDDING]), METHODS[0], "recreational")
        row["same_steps_as"] = self.made[0]["eligibility_id"]
        row["limits"] = str(_limits(self.maker, self.source, row))

    def lifted(self) -> None:
        row = self._add("permitted", self.maker.one(METHODS[1:]), "emergency")
        self._parts(row, counted=self.maker.chance())

    def forbidden(self) -> None:
        purpose = self.maker.one(["recreational", "emergency", "any"])
        row = self._add(self.maker.one(FORBIDDING), self.maker.one(METHODS), purpose)
        self._parts(row, counted=self.maker.chance())
        # One statement may replace several at once, where all are of its kind.
        alike = [
            made["eligibility_id"]
            for made in self.made[:-1]
            if made["towing_method"] == row["towing_method"]
            and (made["purpose"] == "emergency") == (purpose == "emergency")
        ]
        row["overrides"] = ", ".join(self.maker.some(alike))

    def silent(self) -> None:
        self._add("not_addressed", self.maker.one(METHODS), self.maker.one(["any", "emergency"]))

    def _add(self, permission: str, method: str, purpose: str) -> Row:
        row = self.maker.add(
            "eligibility", self.source, towing_method=method, purpose=purpose,
            permission=permission,
            vehicle_group_id=self.tight if permission == "permitted" else self.loose,
        )  # fmt: skip
        self.made.append(row)
        return row

    def _parts(self, row: Row, *, counted: bool) -> None:
        counts = _steps(self.maker, self.source, row)
        counts["limits"] = _limits(self.maker, self.source, row)
        if counted:
            row |= {column: str(count) for column, count in counts.items()}


def _steps(maker: Maker, source: str, statement: Row) -> dict[str, int]:
    """The steps and fuse pulls of a statement; how many of each its page prints."""
    printed: dict[str, set[str]] = {f"steps_{p}": set() for p in ("before", "en_route", "after")}
    fuses = number = 0
    style = maker.one(["{}", "{}.", "({})", "No {}"])
    for phase in contract().vocabularies["phase"].words:
        for step_no in range(1, maker.draw(st.integers(int(phase == "before"), 2)) + 1):
            # One printed step may be several rows.
            number += number == 0 or maker.draw(st.booleans())
            step = _step(maker, source, statement, phase, style.format(number))
            step["step_no"] = str(step_no)
            if step["printed_no"]:
                column = "steps_before" if phase == "once" else f"steps_{phase}"
                printed[column].add(step["printed_no"])
            if step["component"] == "fuse":
                fuses += _fuse_pulls(maker, source, step)
    return {column: len(numbers) for column, numbers in printed.items()} | {"fuse_pulls": fuses}


def _step(maker: Maker, source: str, statement: Row, phase: str, printed_no: str) -> Row:
    warning = not maker.everything and maker.draw(st.integers(0, 5)) == 0
    step = maker.add(
        "procedure_step", source, eligibility_id=statement["eligibility_id"], phase=phase,
        kind="warning" if warning else maker.one(["do", "verify", "wait", "never"]),
        printed_no="" if warning else printed_no,
        component="fuse" if maker.chance() else maker.one(["shifter", "key", "vehicle"]),
    )  # fmt: skip
    if maker.chance():
        dimensions = sorted({unit.dimension for unit in contract().units.values()})
        step |= maker.figure(maker.one(dimensions), Decimal(1), Decimal(90), pair=False)
    return step


def _fuse_pulls(maker: Maker, source: str, step: Row) -> int:
    variants = maker.some(["pull", "move"])
    for variant in variants:
        moved = variant == "move"
        maker.add(
            "fuse_pull", source, procedure_step_id=step["procedure_step_id"],
            action=maker.one(["move", "swap"] if moved else ["pull", "insert", "switch_off"]),
            to_position=maker.one(["SPARE 2", "F, 9"]) if moved else "",
        )  # fmt: skip
    return len(variants)


def _limits(maker: Maker, source: str, statement: Row) -> int:
    quantities = contract().vocabularies["limit_quantity"].words
    variants = maker.some(["number", "number again", "in words"])
    for variant in variants:
        quantity = quantities[maker.one(quantities)]
        in_words = variant == "in words"
        maker.add(
            "towing_limit", source, eligibility_id=statement["eligibility_id"],
            quantity=quantity.name,
            stated=maker.one(["unlimited", "posted_limit"]) if in_words else "number",
            **({} if in_words else maker.demanded("towing_limit", quantity)),
        )  # fmt: skip
    return len(variants)


# ---------------------------------------------------------------- the rest


def _properties(maker: Maker, owner: str, key: str, source: str) -> None:
    """Properties of a vehicle group, a coach or a part."""
    table = "vehicle_property" if owner == "vehicle_group" else f"{owner}_property"
    words = {w.name: w for w in contract().vocabularies["property"].words.values()}
    words = {name: word for name, word in words.items() if table in word.tables}
    figures = [name for name, word in words.items() if word.dimension]
    variants = {
        "figure": figures,
        "word": [name for name, word in words.items() if not word.dimension],
        "apart": [name for name in figures if name in APART] or figures,
        "apart again": [name for name in figures if name in APART] or figures,
    }
    for variant in maker.some(list(variants)):
        word = words[maker.one(variants[variant])]
        maker.add(
            table, source, **{f"{owner}_id": key}, property=word.name,
            basis=maker.one(["cited", "measured"]), **maker.demanded(table, word),
        )  # fmt: skip


def _coach(maker: Maker, source: str) -> None:
    for _ in range(maker.draw(st.integers(int(maker.everything), 2))):
        coach = maker.add("coach", source)
        _properties(maker, "coach", coach["coach_id"], source)


def _equipment(maker: Maker, source: str, group: str) -> None:
    for _ in range(maker.draw(st.integers(int(maker.everything), 2))):
        part = maker.add("equipment", source)["equipment_id"]
        _properties(maker, "equipment", part, source)
        fit = maker.add("equipment_fit", source, equipment_id=part, vehicle_group_id=group)
        if maker.chance():
            height = maker.figure("length", Decimal("0.0254"), Decimal("3.048"), pair=False)
            fit |= {"tow_point_height": height["value"], "unit": height["unit"]}


def _law(maker: Maker, source: str) -> None:
    for effect in maker.some(["requires", "exempts", "classifies", "none_found"]):
        known = [row["towing_rule_id"] for row in maker.tables["towing_rule"]]
        rule = maker.add(
            "towing_rule", source, effect=effect,
            jurisdiction="xb" if effect == "none_found" else "xa-ash",
            incorporates=maker.maybe([source, *known]),
        )  # fmt: skip
        if effect == "exempts":
            rule["exempts_from"] = ", ".join(known) if maker.chance() else ""
        duty = ["then"] if effect == "requires" else []
        parts = duty + (["when"] if effect in ("exempts", "none_found") else ["when", "then"])
        for number, part in enumerate(parts):
            if number < len(duty) or maker.chance():
                _terms(maker, source, rule["towing_rule_id"], part, at_least=1 if duty else 0)


def _terms(maker: Maker, source: str, rule: str, part: str, at_least: int) -> None:
    words = contract().vocabularies["rule_quantity"].words
    kinds = {
        "figure": [w for w in words.values() if w.dimension],
        "date": [w for w in words.values() if w.value == "date"],
        "word": [w for w in words.values() if w.vocabulary],
        "rule": [w for w in words.values() if w.value == "rule"],
    }
    chosen = maker.some(list(kinds))
    for kind in chosen or list(kinds)[:at_least]:
        word = maker.draw(st.sampled_from(kinds[kind]))
        as_word = kind in ("word", "rule")
        cells = maker.demanded("towing_rule_term", word)
        if kind == "figure" and maker.chance():
            cells = _factor(maker, word)
        if maker.chance():
            speed = maker.figure("speed", Decimal(1), Decimal(190), pair=False)
            cells |= {"test_speed": speed["value"], "test_speed_unit": speed["unit"]}
        maker.add(
            "towing_rule_term", source, towing_rule_id=rule, part=part, quantity=word.name,
            operator=maker.one(["is", "is_not"] if as_word else ["<", "<=", ">", ">=", "="]),
            **cells,
        )  # fmt: skip


def _factor(maker: Maker, word: Word) -> Row:
    """A figure that is a factor of another quantity, and perhaps what is added to it."""
    assert word.dimension
    like = contract().vocabularies["rule_quantity"].words.values()
    cells = maker.figure("share", Decimal(0), Decimal(9)) | {
        "times_quantity": maker.one(w.name for w in like if w.dimension == word.dimension),
        "times_measured_as": maker.one(contract().vocabularies["measured_as"].words),
    }
    if maker.chance():
        plus = maker.figure(word.dimension, Decimal(0), Decimal(90), pair=False)
        cells |= {"plus_value": plus["value"], "plus_unit": plus["unit"]}
    return cells


def _general_steps(maker: Maker, source: str) -> None:
    parts = [row["equipment_id"] for row in maker.tables["equipment"]]
    conditions = ["tow_bar", "supplemental_brake=held_pedal", *parts]
    for sequence in maker.some(list(SLOTS)):
        slots: list[str] = SLOTS[sequence]
        steps = [*maker.some(["custom"]), *slots, *maker.some(["said", "quoted"])]
        for step_no, step in enumerate(steps, 1):
            is_slot = step in slots
            row = maker.add(
                "general_step", "" if step == "custom" else source, sequence=sequence,
                step_no=str(step_no), kind="slot" if is_slot else maker.one(["do", "never"]),
                slot=step if is_slot else "", only_if="" if is_slot else maker.maybe(conditions),
                text=maker.one(TEXTS) if step in ("custom", "said") else "",
            )  # fmt: skip
            if step == "custom":
                row["basis"] = "common_practice"
