"""Worlds in which every free text is one that SQL, files and drivers stumble over."""

from __future__ import annotations

from random import Random

from tests.helpers.agreement import drawn
from tests.helpers.worlds import Row, World
from towdb.invisible import has_unseen

# No NUL: PostgreSQL keeps none, and no text of a release holds one.
TEXTS = (
    "it's", "''", "'; DROP TABLE pair; --", '"quoted"', '""', "`tick`", "/* comment", "-- comment",
    "back\\slash", "\\", "\\\\", "\\n", "\\'", "\\N", "\\.", "\\u0041", "\\x41", "c:\\temp\\new",
    "${x}", "${spark.app.name}", "${env:HOME}", "$1", "$$", ":named_twice", ":x", "?", "%s", "%",
    "_", "{}", "{0}", "{candidate}", "[a]", "line\nbreak", "carriage\r,return", "both\r\nof them",
    "\ttab\t", "\x01\x02", "\x1b[2J", "\x7f", "\x85", "\u2028", "\u202eright to left",
    "\ufeffmark", "\u00a0blank\u00a0", " blanks ", "é", "e\u0301", "ß", "SS", "İstanbul", "ı",
    "ﬁ", "Å", "𝔗owed", "🚗", "漢字", "\u200dunseen", "NULL", "null", "NaN", "Infinity", "\\0",
    "TRUE", "1e5", "0x41", "1,2;3|4", "=1+1", "word" * 5_000, "ä" * 3_000, "x\n" * 400,
)  # fmt: skip
# Free text of a cell of words: | and , take it apart.
WORDS = tuple(text for text in TEXTS if not set(text) & set("|,\r\n") and len(text) < 100)
# What a cell of a shortlist may hold.
SEEN = tuple(text for text in WORDS if not has_unseen(text) and text == text.strip())
# What the writer of drawn coach files can write as TOML.
TYPED = tuple(text for text in WORDS if "\x7f" not in text and max(map(ord, text)) < 0x10000)
FREE = ("locator", "quote", "title", "issuer", "note", "text", "expect", "only_when", "name",
        "section_heading", "definition", "panel", "position", "further_condition")  # fmt: skip
NAMED = ("make", "model", "trim", "engine", "body_style")


def hostile_worlds(seed: int, count: int) -> list[World]:
    """Drawn worlds, with such texts in them wherever text is free."""
    rng = Random(seed)
    worlds = [world for world in drawn(seed, 4 * count) if world.policy["weigh_by"] != "gvwr"]
    for world in worlds[:count]:
        # What is one word stays one, or no car would meet a group.
        named = {c: dict(zip(("", "", *_known(world, c)), ["", "", *rng.sample(SEEN, 9)],
                             strict=False)) for c in NAMED}  # fmt: skip
        for row in [*world.candidates, *(row for rows in world.reference.values() for row in rows)]:
            _spoil(row, named, rng)
        for number, car in enumerate(world.candidates):
            # Two cars with one name would be refused.
            car["candidate"] = f"{number} {rng.choice(TEXTS)}"
        if not isinstance(world.coach, str):
            for figures in world.coach.values():
                for figure in figures:
                    figure["read_from"] = rng.choice(TYPED)
    return worlds[:count]


def _known(world: World, column: str) -> list[str]:
    """The words of a column, each once however it is written."""
    groups = world.reference["vehicle_group"]
    found = {(row[column] or "").strip().lower() for row in (*groups, *world.candidates)}
    return sorted(word for word in found if word and not any(c in word for c in "|") and
                  word not in ("any",) and not word.startswith("not "))  # fmt: skip


def _spoil(row: Row, named: dict[str, dict[str, str]], rng: Random) -> None:
    for column, text in row.items():
        if column in FREE and text is not None:
            row[column] = rng.choice(TEXTS)
        elif column in NAMED and text:
            row[column] = named[column].get(text.strip().lower(), text)
