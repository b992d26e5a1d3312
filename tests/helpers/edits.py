"""Edits of a copy of the clean base folder: some by hand, many drawn, none that breaks a rule."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from random import Random

from tests.helpers.folders import read_table, set_cell, write_table
from towdb.contract.model import contract

Edit = Callable[[Path], None]


def row_numbers(folder: Path, table: str) -> dict[str, int]:
    return {row[f"{table}_id"]: n for n, row in enumerate(read_table(folder, table))}


def put(table: str, key: str, **cells: str) -> Edit:
    """An edit that writes some cells of a row."""

    def edit(folder: Path) -> None:
        for column, text in cells.items():
            set_cell(folder, table, row_numbers(folder, table)[key], column, text)

    return edit


def weigh_apart(folder: Path) -> None:
    """The gross rating stands on a page about a group of its own, in another document."""
    groups = read_table(folder, "vehicle_group")
    (key,) = (row for row in groups if row["vehicle_group_id"] == "pika-key")
    apart = {**key, "vehicle_group_id": "weighed", "source_id": "pika-label"}
    write_table(folder, "vehicle_group", [*groups, apart])
    put("source", "pika-label", title="Door label and weights (invented)")(folder)
    weight = {"vehicle_group_id": "weighed", "value": "5500", "also_value": "2495"}
    put("vehicle_property", "key-gvwr", **weight)(folder)


MOVED = {"phase": "en_route", "step_no": "2"}
BY_HAND: dict[str, tuple[Edit, ...]] = {
    "slower": (
        put("towing_limit", "key-speed", value="55", also_value="88"),
        put("eligibility", "automatic", permission="refer_to_maker"),
    ),
    "heavier": (put("vehicle_property", "key-gvwr", value="5500", also_value="2495"),),
    "apart": (weigh_apart,),
    "unchecked": (put("eligibility", "key", checked_by="", checked_on=""),),
    "reordered": (
        put("procedure_step", "before-2", step_no="3"),
        put("procedure_step", "before-3", step_no="2"),
    ),
    "restored": (put("fuse_pull", "f12", restore="before_driving"),),
    "moved": (
        put("procedure_step", "after-2", **MOVED),
        put("eligibility", "key", steps_en_route="2", steps_after="1"),
    ),
    "paired": (put("towing_limit", "button-speed", also_value="104"),),
    "optional": (put("vehicle_group", "pika-key", options_without="tow package"),),
}
WITH_DRAWN = ("heavier", "unchecked", "paired", "moved")
TEXTS = (
    *(("source", name) for name in ("title", "edition", "document_number", "language")),
    *((table, "locator") for table in ("vehicle_group", "fuse_pull", "towing_rule", "coach")),
    *((table, "file_page") for table in ("eligibility", "towing_limit", "procedure_step")),
    *((table, "quote") for table in ("procedure_step", "equipment_property", "general_step")),
    *(("towing_rule", "text"), ("coach", "note"), ("equipment", "model")),
)
NUMBERS = (("vehicle_property", "key-curb"), ("vehicle_property", "vole-gvwr"))


def change_text(rng: Random, folder: Path) -> None:
    table, column = rng.choice(TEXTS)
    rows = [n for n, row in enumerate(read_table(folder, table)) if row["source_id"]]
    optional = column not in contract().tables[table].required
    texts = {"file_page": ["12", "207", ""], "language": ["en", "fr", ""]}
    words = ['As printed; "so", it\'s said', "Ünder ß 2", "=1+1", " ".join(["long"] * 30)]
    chosen = rng.choice(texts.get(column, [*words, ""] if optional else words))
    set_cell(folder, table, rng.choice(rows), column, chosen)


def change_number(rng: Random, folder: Path) -> None:
    table, key = rng.choice(NUMBERS)
    # 2650.00 is what stands there, written otherwise: no change.
    value = rng.choice(["2650.00", "2651.5", "3000", "2999.000001", "2700.10"])
    put(table, key, value=value)(folder)


def change_word(rng: Random, folder: Path) -> None:
    put("equipment_fit", "plate-pika", fits=rng.choice(["yes", "no"]))(folder)
    put("source", rng.choice(["pika-om", "pika-tb"]), obtained_on=rng.choice(["2025-01-09", ""]))(
        folder
    )
    put("source", "gear-manual", invented=rng.choice(["yes", "no"]))(folder)


def uncheck(rng: Random, folder: Path) -> None:
    table = rng.choice(["vehicle_group", "coach_property", "towing_rule", "equipment"])
    key = rng.choice(list(row_numbers(folder, table)))
    put(table, key, checked_by="", checked_on="")(folder)


def add_row(rng: Random, folder: Path) -> None:
    table = rng.choice(["source", "vehicle_group", "coach", "equipment"])
    rows = read_table(folder, table)
    new = rng.choice(rows) | {f"{table}_id": f"added-{rng.randrange(10**6)}"}
    new |= {"model": "Hollow"} if table == "vehicle_group" else {}
    rows.insert(rng.randrange(len(rows) + 1), new)
    write_table(folder, table, rows)


def change_options(rng: Random, folder: Path) -> None:
    """What a group says of options; some of it is checked by nobody."""
    key = rng.choice(["pika-late", "pika-labelled", "vole"])
    column = rng.choice(["options_with", "options_without"])
    put("vehicle_group", key, **{column: rng.choice(["tow package", "roof rack", ""])})(folder)
    if rng.random() < 0.3:
        put("vehicle_group", key, checked_by="", checked_on="")(folder)


def remove_row(rng: Random, folder: Path) -> None:
    table, key = rng.choice(
        [
            ("vehicle_property", "key-curb"),
            ("coach_property", "receiver-height"),
            ("coach_property", "receiver-size"),
            ("vehicle_property", "key-assist"),
        ]
    )
    rows = [row for row in read_table(folder, table) if row[f"{table}_id"] != key]
    write_table(folder, table, rows)


def draw_edits(rng: Random) -> list[Edit]:
    kinds = [
        *(change_text, change_number, change_word, uncheck, change_options),
        *(add_row, remove_row),
    ]
    # What is removed last cannot be changed any more.
    order = sorted(kinds + rng.choices(kinds[:6], k=14), key=kinds.index)
    return [lambda folder, kind=kind: kind(rng, folder) for kind in order]  # type: ignore[misc]
