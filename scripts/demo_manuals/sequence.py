"""The ordinary sequence of coupling, driving and uncoupling: custom of the trade, two quotes."""

from __future__ import annotations

from scripts.demo_manuals.notation import Cells

ENTERED = ("Imre Solvang", "2024-02-12")
CHECKED = "Dunya Orrel"


def _step(kind: str, text: str, **cells: str) -> Cells:
    return {"kind": kind, "text": text, "people": "one", "basis": "common_practice", **cells}


def _slot(slot: str) -> Cells:
    return {"kind": "slot", "slot": slot, "basis": "common_practice"}


def _cited(kind: str, text: str, source_id: str, locator: str, quote: str, **cells: str) -> Cells:
    citation = {"source_id": source_id, "locator": locator, "quote": quote, "basis": "cited"}
    return _step(kind, text, **(cells | citation))


COUPLING = (
    _step("do", "Park coach and car on level ground, in line, the car close behind.", people="two"),
    _step("verify", "Look over bar, pins, plate and cables before anything is joined."),
    _step("do", "Put the bar into the receiver and pin it.", only_if="tow_bar"),
    _slot("vehicle_before_pinned"),
    _step(
        "do",
        "Bring the car up to the bar and pin both arms.",
        people="two",
        caution="Keep hands clear of the arms while the car rolls.",
    ),
    _step("do", "Cross the cables under the bar and hook them.", only_if="safety_cables"),
    _step("do", "Plug in the electric cable.", only_if="umbilical"),
    _step("do", "Couple the air line.", only_if="air_supply"),
    _slot("vehicle_pinned"),
    _cited(
        "do",
        "Empty the brake booster, then set the portable brake on the pedal.",
        "ombrel-manual-brakes",
        "p. 11",
        "Press the pedal five times … then set Footman on the pedal.",
        only_if="supplemental_brake=held_pedal",
    ),
    _step("do", "Clip the breakaway cable to the coach, not to the bar.", only_if="breakaway"),
    _step("verify", "See that all lamps of the car work.", people="two"),
    _step("do", "Pull forward until both arms lock."),
    _step("never", "Never back up with the car on the bar."),
)
DRIVING = (
    _step("do", "Stop after the first few miles and touch every wheel of the car."),
    _slot("vehicle_en_route"),
    _step("verify", "At each stop look at pins, cables and tires."),
    _step("warning", "A flat tire on the car is not felt in the coach."),
)
UNCOUPLING = (
    _step("do", "Stop in line on level ground; leave the bar without strain."),
    _slot("vehicle_still_pinned"),
    _cited(
        "do",
        "Take the portable brake off the pedal before the car is driven.",
        "ombrel-manual-brakes",
        "p. 12",
        "Take Footman off the pedal before you drive.",
        only_if="ombrel-footman",
    ),
    _step("do", "Unplug cable and air line, unhook the safety cables, pull the pins."),
    _step("wait", "Let the arms come to rest before you fold them.", only_if="tow_bar"),
    _slot("vehicle_unpinned"),
)

SEQUENCES = {"coupling": COUPLING, "driving": DRIVING, "uncoupling": UNCOUPLING}
