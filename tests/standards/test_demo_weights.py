"""The demo's own consistency, by a published invariant, and its markets by a published list."""

from __future__ import annotations

from pathlib import Path

import pycountry

import towdb
from towdb.contract.model import contract

SEATS = 5
PER_SEAT_LB = 150


def test_gvwr_leaves_room_for_the_seats(demo_release: Path) -> None:
    # 49 CFR 567.4(g)(3), value from memory: GVWR is at least the unloaded weight, the rated cargo
    # and 150 lb for each seat.
    with towdb.open(demo_release) as reference:
        rows = reference.sql(
            "select vehicle_group_id, min(low_kg) filter (property = 'gvwr') as gvwr,"
            " max(high_kg) filter (property = 'curb_weight') as curb"
            " from weight group by vehicle_group_id"
        ).dropna()
    assert len(rows) > 50
    room = (rows["gvwr"] - rows["curb"]).map(float) / 0.45359237
    assert (room >= SEATS * PER_SEAT_LB).all()


def test_markets_are_the_countries_of_iso_3166() -> None:
    # ISO 3166-1 alpha-2 as pycountry carries it, and the codes that it leaves to users.
    countries = {country.alpha_2.lower() for country in pycountry.countries}
    words = set(contract().vocabularies["market"].words)
    assert countries <= words
    assert words - countries == {f"x{chr(c)}" for c in range(ord("a"), ord("z") + 1)} | {"zz"}
