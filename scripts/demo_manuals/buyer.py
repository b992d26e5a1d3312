"""What one buyer brings along: a coach file, and twelve cars typed on the lot."""

from __future__ import annotations

COACH = """\
# An invented coach. Every figure says where it was read.
name = "Marram 33, Lorne and Isa Haverel"

[properties]
hitch_receiver = { value = "5000 lb", read_from = "receiver plate, weight carrying" }
gcwr = { value = "26000 lb", read_from = "chassis plate in the entry step" }
gvwr = { value = "22000 lb", read_from = "certification label, driver's side wall" }
towing_capacity = { value = "5000 lb", read_from = "owner's guide, p. 31" }
loaded_weight = { value = "9,640 kg", read_from = "scale ticket of 9 May, loaded to travel" }
"""

# fmt: off
COLUMNS = [
    "candidate", "make", "model", "model_year", "market", "trim", "body_style", "engine",
    "powertrain", "drivetrain", "transmission", "transfer_case", "steering", "parking_brake",
    "shifter", "ignition", "built_on", "options", "options_complete", "as_weighed", "gvwr",
    "curb_weight", "load", "weight_unit", "price", "lot",
]
# fmt: on


def _car(
    candidate: str, make: str, model: str, model_year: str, price: str, lot: str, **typed: str
) -> dict[str, str]:
    return {
        "candidate": candidate,
        "make": make,
        "model": model,
        "model_year": model_year,
        "price": price,
        "lot": lot,
        **typed,
    }


CARS = (
    # Suitable: the exception for the two-speed case with neutral, although the rule forbids.
    _car(
        "pika 21 blue",
        "Quillon",
        "Pika",
        "2021",
        "21900",
        "row 3",
        market="XA",
        powertrain="Gas",
        drivetrain="4x4",
        transmission="Planetary Automatic",
        transfer_case="two-speed with neutral",
        ignition="key",
    ),
    # Transfer case unknown: the page decides by it.
    _car(
        "pika 22 sand",
        " quillon",
        "PIKA ",
        "2022",
        "24450",
        "row 3",
        market="xa",
        powertrain="gasoline",
        drivetrain="4X4",
        transmission="stick",
        ignition="key",
    ),
    # Suitable, as weighed on the lot's scale; built before the bulletin.
    _car(
        "lowan-7",
        "BESSARIN",
        "Lowan",
        "2021",
        "18700",
        "row 1",
        market="xa",
        powertrain="petrol",
        drivetrain="fwd",
        transmission="CVT",
        transfer_case="none",
        ignition="push button",
        built_on="2020-11",
        as_weighed="1 655 kg",
    ),
    # All-wheel drive: forbidden.
    _car(
        "lowan-9",
        "Bessarin",
        "lowan",
        "2020",
        "17250",
        "row 1",
        market="xa",
        powertrain="gas",
        drivetrain="AWD",
        transmission="cvt",
        ignition="Button",
        curb_weight="3,450 lb",
    ),
    # Permitted, and far too heavy for the coach.
    _car(
        "hollin (white)",
        "Vantrel",
        "Hollin",
        "2019",
        "31500",
        "back lot",
        market="xa",
        powertrain="diesel",
        drivetrain="part-time four-wheel drive",
        transmission="planetary automatic",
        transfer_case="two speed with neutral",
        parking_brake="foot pedal",
        as_weighed="2410",
        weight_unit="kg",
    ),
    # Within the receiver as it stands empty, but the combination rating leaves less.
    _car(
        "tussock fell",
        "Miradec",
        " Tussock",
        "2022",
        "39900",
        "row 2",
        market="xa",
        trim="Fell",
        engine="2.5 L turbo",
        powertrain="mild hybrid",
        drivetrain="full-time four-wheel drive",
        transmission="planetary automatic",
        transfer_case="two-speed-with-neutral",
        options="tow mode package",
        options_complete="yes",
        curb_weight="4655",
        load="150",
        weight_unit="lbs",
    ),
    # Suitable, with much to spare; the statement rests on a self-check.
    _car(
        "wicket 19",
        "Halvern",
        "Wicket",
        "2019",
        "9800",
        "row 1",
        market="xa",
        trim="plus",
        body_style="Hatchback",
        engine="1.2 l",
        powertrain="gasoline",
        drivetrain="FWD",
        transmission="Stick",
        transfer_case="none",
        ignition="key",
    ),
    # The handbook sends the reader to the maker.
    _car(
        "gannet dct",
        "Pellworth",
        "Gannet",
        "2022",
        "26300",
        "row 2",
        market="xa",
        powertrain="gas",
        drivetrain="fwd",
        transmission="DCT",
        transfer_case="none",
        gvwr="1 845 kg",
    ),
    # The chapter was read and says nothing.
    _car(
        "osier 18",
        "Dunmere",
        "Osier",
        "2018",
        "12100",
        "row 4",
        market="xa",
        powertrain="gas",
        drivetrain="fwd",
        transmission="auto",
        transfer_case="none",
    ),
    # Permitted by a row that awaits its check.
    _car(
        "fjell 23 grey",
        "Oskelund",
        "Fjell",
        "2023",
        "33800",
        "back lot",
        market="xa",
        powertrain="Diesel",
        drivetrain="part time four wheel drive",
        transmission="manual",
        transfer_case="two_speed_with_neutral",
        parking_brake="hand lever",
        gvwr="2100 kg",
    ),
    # Two books of the maker disagree.
    _car(
        "sedge 20",
        "tarrow",
        "sedge",
        "2020",
        "11950",
        "row 4",
        market="xa",
        powertrain="gas",
        drivetrain="front wheel drive",
        transmission="stick",
        transfer_case="none",
        steering="EPS",
        load="60 lb",
    ),
    # Misspelt: nothing on record of a Wickett.
    _car(
        "wicket 21 red",
        "Halvern",
        "Wickett",
        "2021",
        "12600",
        "row 4",
        market="xa",
        body_style="hatchback",
        powertrain="gas",
        drivetrain="2wd",
        transmission="stick",
        transfer_case="none",
        gvwr="3050 lb",
    ),
)
