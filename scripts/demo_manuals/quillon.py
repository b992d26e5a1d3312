"""Quillon Pika: what decides is the transfer case; the manual prints a rule and its exception."""

from scripts.demo_manuals.notation import Document, reprint

_CHAPTER = """
group all at p. 212: This chapter is for all Pika vehicles.
    cells: powertrain any; drivetrain any; transmission any; transfer_case any
group manual-neutral at p. 214: Pika with manual transmission and a transfer case that has a neutral
    (N) position
    cells: powertrain gasoline; drivetrain any; transmission manual;
    transfer_case two_speed_with_neutral
group manual-no-neutral at p. 214: Pika with manual transmission and a transfer case without a
    neutral (N) position
    cells: powertrain gasoline; drivetrain any; transmission manual;
    transfer_case single_speed | two_speed_without_neutral
group automatic at p. 216: all Pika with automatic transmission
    cells: powertrain gasoline; drivetrain any; transmission automatic; transfer_case any
group automatic-neutral at p. 216: automatic (6-speed) with the optional two-speed transfer case
    that has a neutral (N) position
    cells: powertrain gasoline; drivetrain any; transmission planetary_automatic;
    transfer_case two_speed_with_neutral

statement manual-neutral of manual-neutral at p. 214: With manual transmission and a transfer case
    that has a neutral (N) position, your Pika may be towed behind a motorhome with all four wheels
    on the ground.
    says: four_wheels_down recreational permitted
    heading: Behind a motorhome
limit speed at_most always 65 mph / 105 km/h: Do not tow faster than {}.
limit distance at_most per_trip unlimited: There is no limit on the distance.
before - warning wheel_chocks set: WARNING! With the transfer case in N the vehicle can roll, even
    with the transmission in gear. Chock the wheels before you begin.
before 1 do vehicle stop: Stop on level ground with the vehicle lined up behind the motorhome.
before 2 do wheel_chocks set: Chock one front and one rear wheel.
before 3 do ignition turn_to run: Turn the key to ON. Do not start the engine.
before 4 do clutch hold: Hold the clutch pedal down …
before 4 do transmission shift_to neutral: … and move the gear lever to neutral.
before 5 do transfer_case shift_to neutral: Push the transfer case lever down and pull it back to N.
    expect: the N lamp in the instrument panel blinks, then stays lit
    if_not: return the lever to 4H, let the clutch up and begin again at step 4
before 6 do engine start: Start the engine …
before 6 do transmission shift_to reverse: … select reverse …
before 6 do clutch release: … and let the clutch up slowly.
before 6 verify vehicle check: The vehicle must not move. If it moves, the transfer case is not in
    N.
    if_not: stop the engine and begin again at step 3
before 7 do engine stop: Stop the engine …
before 7 do transmission shift_to first_gear: … and move the gear lever to first.
page p. 215
before 8 do coupling attach: Connect the vehicle to the tow bar.
before 9 do ignition turn_to accessory: Turn the key to ACC …
before 9 verify steering check unlocked: … so that the steering is not locked.
    expect: the steering wheel turns both ways by hand
before 10 do fuse pull: Pull fuses F21 (10 A, ACC DISPLAY) and F34 (15 A, OUTLET) in the panel
    behind the glove box, or the battery will be drained. Put them back before driving.
    fuse: pull fuse F21 10 A; panel behind the glove box; circuit ACC DISPLAY;
    disables instrument_display, odometer; restore before_driving
    fuse: pull fuse F34 15 A; panel behind the glove box; circuit OUTLET; disables car_power_outlet;
    restore before_driving
before 11 do parking_brake release: Release the parking brake …
before 11 do wheel_chocks remove: … then remove the chocks.
en_route 1 verify transfer_case check neutral: At every stop, see that the N lamp is still lit.
    if_not: do not go on; repeat the steps before towing
en_route 2 never transfer_case never: Never move the gear lever or the transfer case lever while the
    vehicle is being towed.
after 1 do parking_brake set: Set the parking brake before you unhook the tow bar.
after 2 do coupling detach: Unhook the tow bar.
after 3 do fuse restore: Put fuses F21 and F34 back.
after 4 do ignition turn_to run: Turn the key to ON …
after 4 do clutch hold: … press the clutch pedal …
after 4 do transfer_case shift_to two_high: … and move the transfer case lever to 2H.
    expect: the N lamp goes out

statement manual-no-neutral of manual-no-neutral at p. 214: A transfer case without a neutral
    position always turns with the wheels. Do not tow such a vehicle with all four wheels on the
    ground.
    says: four_wheels_down recreational prohibited
    heading: Behind a motorhome

statement automatic-rule of automatic at p. 216: Vehicles with automatic transmission must not be
    towed with all four wheels on the ground.
    says: four_wheels_down recreational prohibited
    heading: Behind a motorhome

statement automatic-neutral of automatic-neutral at p. 216: Exception … an automatic with the
    optional two-speed transfer case may be towed with all four wheels on the ground once the
    transfer case is in N.
    says: four_wheels_down recreational permitted
    heading: Behind a motorhome
    overrides: automatic-rule
limit speed at_most always 65 mph / 105 km/h: Never exceed {} while towing.
limit distance at_most between_rests 300 mi / 480 km: After {} let the vehicle stand for a while.
limit rest at_least between_rests 30 min: … let the vehicle stand for {}.
before - warning brake_pedal hold: WARNING! Someone must sit behind the wheel with a foot on the
    brake pedal until the tow bar is connected.
before 1 do vehicle stop: Stop on level ground behind the motorhome …
before 1 do brake_pedal hold: … and hold the brake pedal down.
before 2 do transmission shift_to neutral: Shift the transmission to N …
before 2 do engine stop: … and stop the engine.
before 3 do ignition turn_to run: Turn the key to ON.
before 4 do transfer_case shift_to neutral 4 s: With a pen, press the recessed NEUTRAL button beside
    the transfer case lever for {}.
    expect: a chime sounds and the N lamp stays lit
    if_not: shift the transfer case to 4L and back, and begin again at step 2
before 5 do transmission shift_to park: Shift the transmission to P.
page p. 217
before 6 do coupling attach: Connect the vehicle to the tow bar.
before 7 do battery disconnect negative_terminal: Disconnect the negative battery cable and tape it
    out of the way.
before 8 do parking_brake release: Release the parking brake.
en_route 1 verify transmission check park: At every stop, see that the transmission is still in P.
after 1 do parking_brake set: Set the parking brake.
after 2 do coupling detach: Unhook the tow bar.
after 3 do battery reconnect negative_terminal: Reconnect the negative battery cable.
after 4 do ignition turn_to run: Turn the key to ON …
after 4 do brake_pedal hold: … hold the brake pedal down …
after 4 do transfer_case select two_high 4 s: … and press the NEUTRAL button for {}.
    expect: the N lamp goes out and 2H lights

statement trailer of all at p. 217: Every Pika may be carried on a trailer with all four wheels off
    the ground.
    says: on_trailer recreational permitted
    heading: On a trailer

statement front-up of all at p. 218: Do not tow any Pika with only the front wheels off the ground.
    says: front_wheels_up any prohibited
    heading: Dollies and wheel lifts

statement rear-up of all at p. 218: Do not tow any Pika with only the rear wheels off the ground.
    says: rear_wheels_up any prohibited
    heading: Dollies and wheel lifts

statement manual-tow-out of manual-no-neutral at p. 219: A Pika with manual transmission that breaks
    down may be towed on its wheels out of danger, to the next safe place.
    says: four_wheels_down emergency permitted
    heading: In an emergency
limit speed at_most always 20 mph / 32 km/h: … no faster than {} …
limit distance at_most per_trip 1 mi / 1.6 km: … and no farther than {}.
before 1 do ignition turn_to accessory: Turn the key to ACC.
before 2 do transmission shift_to neutral: Move the gear lever to neutral.
before 3 do parking_brake release: Release the parking brake.
after 1 do parking_brake set: Set the parking brake before the rope is taken off.

statement trailer-breakdown of all at p. 219: After a breakdown have the vehicle carried on a
    flatbed.
    says: on_trailer emergency permitted
    heading: In an emergency

properties of all at p. 370
property overall_length 161.4 in / 4100 mm: Overall length … {}
property wheelbase 96.1 in / 2440 mm: Wheelbase … {}
property rear_lamps separate_turn: Rear turn signal (amber), a lamp of its own … 21 W
property lamp_type bulb: Stop and tail lamp … bulb, 21/5 W
properties of manual-neutral at p. 371
property gvwr 4450 lb / 2019 kg: Manual, two-speed case with N … GVWR {}
    definition: rated for 5 seats at 150 lb each and 160 lb of cargo
property curb_weight 3540 lb / 1606 kg: Manual, two-speed case with N … curb weight {}
    definition: full fluids and standard equipment, nobody aboard
property brake_assist vacuum: The brake booster works by engine vacuum.
property brake_assist_without_engine no: With the engine stopped the brake booster does not help;
    much more force is needed.
property key_on_draw 1.8 A: With the key at ACC, fuses F21 and F34 out … about {}
properties of manual-no-neutral at p. 371
property gvwr 4380 lb / 1987 kg: Manual, case without N … GVWR {}
property curb_weight 3470 lb / 1574 kg: Manual, case without N … curb weight {}
properties of automatic at p. 371
property gvwr 4500 lb / 2041 kg: Automatic, all … GVWR up to {}
property curb_weight 3480 lb / 1579 kg: Automatic, all … curb weight from {}
properties of automatic-neutral at p. 371
property gvwr 4550 lb / 2064 kg: Automatic, two-speed case with N … GVWR {}
property curb_weight 3625 lb / 1644 kg: Automatic, two-speed case with N … curb weight {}
"""

PIKA_2021 = Document(
    "quillon-om-pika-2021",
    "owner_manual",
    "Quillon Pika 2021 Owner's Manual (invented)",
    "Quillon Motor Works",
    "vehicle_maker",
    entered=("Imre Solvang", "2024-02-19"),
    checked="Dunya Orrel",
    obtained_on="2024-02-12",
    published_on="2020-09-01",
    document_number="QMW-OM-PIKA-21-1",
    edition="first edition, September 2020",
    market="xa | xb",
    years=(2021, 2021),
    make="Quillon",
    model="Pika",
    prefix="quillon-pika-2021",
    pages=_CHAPTER,
)
PIKA_2022 = reprint(
    PIKA_2021,
    6,
    source_id="quillon-om-pika-2022",
    title="Quillon Pika 2022 Owner's Manual (invented)",
    entered=("Maren Ilvane", "2024-09-09"),
    checked="Imre Solvang",
    obtained_on="2024-08-30",
    published_on="2021-08-16",
    document_number="QMW-OM-PIKA-22-1",
    edition="first edition, August 2021",
    years=(2022, 2022),
    prefix="quillon-pika-2022",
)
PIKA_2019 = reprint(
    PIKA_2021,
    -11,
    {"behind the glove box": "left of the pedals", "4450 lb / 2019 kg": "4420 lb / 2005 kg"},
    source_id="quillon-om-pika-2019",
    title="Quillon Pika 2019 Owner's Manual (invented)",
    entered=("Imre Solvang", "2025-01-13"),
    checked="Dunya Orrel",
    obtained_on="2024-12-18",
    published_on="2018-10-02",
    document_number="QMW-OM-PIKA-19-2",
    edition="second printing, October 2018",
    market="xa",
    years=(2019, 2019),
    prefix="quillon-pika-2019",
)

# A door label belongs to one car, so its group says which.
PIKA_LABEL = Document(
    "quillon-label-pika-2021-trail",
    "certification_label",
    "Certification label, Pika 2021 Trail, left door post (invented)",
    "Quillon Motor Works",
    "vehicle_maker",
    entered=("Imre Solvang", "2024-05-06"),
    checked="Dunya Orrel",
    obtained_on="2024-05-04",
    file_name="pika-2021-trail-door-post.jpg",
    market="xa",
    years=(2021, 2021),
    make="Quillon",
    model="Pika",
    prefix="quillon-pika-2021-label",
    pages="""
    group trail at door post: PIKA TRAIL 2.0 4WD M/T
        cells: trim Trail; engine 2.0 L; powertrain gasoline; drivetrain part_time_four_wheel_drive;
        transmission manual; transfer_case two_speed_with_neutral; otherwise -
    properties of trail at door post
    property gvwr 4420 lb / 2005 kg: GVWR {}
    property gawr_front 2250 lb / 1021 kg: GAWR FRT {}
    property gawr_rear 2500 lb / 1134 kg: GAWR RR {}
    """,
)

# Replaced by a corrected sheet. Its one row stays: it says what was relied on until then.
PIKA_SHEET = Document(
    "quillon-data-pika-2019",
    "maker_data",
    "Quillon Pika 2019 Technical Data Sheet (invented)",
    "Quillon Motor Works",
    "vehicle_maker",
    entered=("Maren Ilvane", "2025-02-03"),
    checked="Imre Solvang",
    obtained_on="2025-01-28",
    published_on="2018-11-20",
    document_number="QMW-TD-19-04",
    market="xa",
    years=(2019, 2019),
    withdrawn_on="2025-06-30",
    make="Quillon",
    model="Pika",
    pages="""
    properties of quillon-pika-2019-all at p. 2
    property front_overhang 27.5 in / 698 mm: Overhang, front … {}
    """,
)

DOCUMENTS = (PIKA_2019, PIKA_SHEET, PIKA_2021, PIKA_LABEL, PIKA_2022)
