"""Halvern Wicket: a small car and a short list; 2020 is missing, nobody has found that manual."""

from scripts.demo_manuals.notation import Document, reprint

_CHAPTER = """
group all at p. 96: Wicket
    cells: powertrain gasoline; drivetrain front_wheel_drive; transmission any; transfer_case none
group manual-hatch at p. 97: Wicket hatchback with manual gearbox
    cells: body_style hatchback; powertrain gasoline; drivetrain front_wheel_drive;
    transmission manual; transfer_case none
group manual-wagon at p. 97: Wicket wagon with manual gearbox
    cells: body_style wagon; powertrain gasoline; drivetrain front_wheel_drive; transmission manual;
    transfer_case none
group auto at p. 98: Wicket with E-shift, that is with any gearbox but the manual one
    cells: powertrain gasoline; drivetrain front_wheel_drive; transmission not manual;
    transfer_case none

statement manual-hatch of manual-hatch at p. 97: The Wicket hatchback with manual gearbox may be
    flat towed behind a motorhome at any legal speed and for any distance.
    says: four_wheels_down recreational permitted
    heading: Flat towing
limit speed at_most always posted_limit: … at any legal speed …
limit distance at_most per_trip unlimited: … and for any distance.
before 1 do transmission shift_to neutral: Gearbox in neutral.
before 2 do ignition turn_to accessory: Key at ACC.
before 2 never key never: Never take it out.
before 3 do fuse pull: Two fuses out, in the box by your left knee: F5 (10 A, RADIO), F9 (5 A,
    CLOCK).
    fuse: pull fuse F5 10 A; panel by the left knee; circuit RADIO; disables telematics;
    restore not_stated
    fuse: pull fuse F9 5 A; panel by the left knee; circuit CLOCK; disables instrument_display;
    restore not_stated
before 4 do parking_brake release: Hand brake off.
en_route 1 verify tires check: Feel the front tires at each stop.
after 1 do parking_brake set: Hand brake on before the bar comes off.
after 2 do fuse restore: Both fuses back in.
after 3 do ignition turn_off: Key at OFF.

statement manual-wagon of manual-wagon at p. 97: The Wicket wagon with manual gearbox is prepared
    like the hatchback, but is limited in speed.
    says: four_wheels_down recreational permitted
    heading: Flat towing
    same_steps_as: manual-hatch
limit speed at_most always 60 mph: Wagon: no more than {}.
limit distance at_most per_trip unlimited: … and for any distance.

statement auto of auto at p. 98: E-shift: no flat towing. The clutch closes by itself.
    says: four_wheels_down recreational prohibited
    heading: Flat towing
statement dolly of all at p. 98: Front wheels on a dolly: all models.
    says: front_wheels_up recreational permitted
    heading: Flat towing
limit speed at_most always 55 mph: Dolly: {}
statement rear-up of all at p. 98: Rear wheels on a dolly: not suitable for any model.
    says: rear_wheels_up any prohibited
    heading: Flat towing
statement trailer of all at p. 98: Trailer: all models.
    says: on_trailer recreational permitted
    heading: Flat towing
statement auto-breakdown of auto at p. 141: E-shift, after a breakdown: on its wheels only if the
    gearbox can be put in N by hand.
    says: four_wheels_down emergency permitted
    heading: Breakdown
limit speed at_most always 30 mph: {} …
limit distance at_most per_trip 30 mi: … for up to {}
before 1 do transmission shift_to neutral: Turn the red screw on the gearbox to N.
before 2 do parking_brake release: Hand brake off.
after 1 do parking_brake set: Hand brake on.

properties of all at p. 180
property wheelbase 92.5 in: Wheelbase {}
property rear_lamps separate_turn: Bulbs: stop 21 W, turn 21 W (amber)
property lamp_type bulb: Bulbs: stop 21 W, turn 21 W (amber)
properties of manual-hatch at p. 180
property gvwr 3050 lb: Hatchback, manual … GVWR {}
property curb_weight 2145 lb: Hatchback, manual … curb weight {}
property overall_length 144 in: Hatchback … length {}
property brake_assist vacuum: Brakes: vacuum servo
properties of manual-wagon at p. 180
property gvwr 3180 lb: Wagon, manual … GVWR {}
property curb_weight 2260 lb: Wagon, manual … curb weight {}
property overall_length 156 in: Wagon … length {}
properties of auto at p. 180
property gvwr 3120 lb: E-shift … GVWR {}
property curb_weight 2205 lb: E-shift … curb weight {}
"""

WICKET_2018 = Document(
    "halvern-om-wicket-2018",
    "owner_manual",
    "The Halvern Wicket and You, 2018 (invented)",
    "Halvern Motors",
    "vehicle_maker",
    entered=("Dunya Orrel", "2024-02-26"),
    checked="Imre Solvang",
    obtained_on="2024-02-20",
    published_on="2017-09-01",
    document_number="HM 118",
    market="xa | xb",
    years=(2018, 2018),
    make="Halvern",
    model="Wicket",
    prefix="halvern-wicket-2018",
    pages=_CHAPTER,
)
WICKET_2019 = reprint(
    WICKET_2018,
    0,
    source_id="halvern-om-wicket-2019",
    title="The Halvern Wicket and You, 2019 (invented)",
    entered=("Dunya Orrel", "2024-02-27"),
    published_on="2018-09-03",
    document_number="HM 119",
    years=(2019, 2019),
    prefix="halvern-wicket-2019",
)
WICKET_2021 = reprint(
    WICKET_2018,
    3,
    {"2145 lb": "2170 lb", "2260 lb": "2285 lb"},
    source_id="halvern-om-wicket-2021",
    title="The Halvern Wicket and You, 2021 (invented)",
    entered=("Dunya Orrel", "2024-12-02"),
    checked="Maren Ilvane",
    obtained_on="2024-11-25",
    published_on="2020-09-07",
    document_number="HM 121",
    years=(2021, 2021),
    prefix="halvern-wicket-2021",
)
WICKET_LABEL = Document(
    "halvern-label-wicket-2019-plus",
    "certification_label",
    "Certification label, Wicket 2019 Plus 1.2, door edge (invented)",
    "Halvern Motors",
    "vehicle_maker",
    entered=("Dunya Orrel", "2024-05-13"),
    checked="Imre Solvang",
    obtained_on="2024-05-11",
    file_name="wicket-2019-plus-door.jpg",
    market="xa",
    years=(2019, 2019),
    make="Halvern",
    model="Wicket",
    prefix="halvern-wicket-2019-label",
    pages="""
    group plus at door edge: WICKET PLUS 1.2 5MT HATCH
        cells: trim Plus; body_style hatchback; engine 1.2 L; powertrain gasoline;
        drivetrain front_wheel_drive; transmission manual; transfer_case none; otherwise -
    properties of plus at door edge
    property gvwr 3065 lb: GVWR {}
    property gawr_front 1690 lb: GAWR FRONT {}
    property gawr_rear 1520 lb: GAWR REAR {}
    """,
)

DOCUMENTS = (WICKET_2018, WICKET_2019, WICKET_2021, WICKET_LABEL)
