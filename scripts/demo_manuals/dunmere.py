"""Dunmere Osier: silent in 2018, then a CVT with engine runs, and a limit in place of a ban."""

from scripts.demo_manuals.notation import Document, reprint

OSIER_2018 = Document(
    "dunmere-om-osier-2018",
    "owner_manual",
    "Dunmere Osier Driver's Handbook 2018 (invented)",
    "Dunmere Car Works",
    "vehicle_maker",
    entered=("Imre Solvang", "2024-05-27"),
    checked="Maren Ilvane",
    obtained_on="2024-05-21",
    published_on="2017-10-02",
    document_number="DCW H-18-OS",
    market="xa",
    years=(2018, 2018),
    make="Dunmere",
    model="Osier",
    prefix="dunmere-osier-2018",
    pages="""
    group all at p. iii: This handbook describes all Osier models of the year.
        cells: powertrain gasoline; drivetrain any; transmission any; transfer_case any
    statement four-down of all at p. 3: Contents … 5 Driving … 6 Carrying loads … 7 Trailers
        says: four_wheels_down recreational not_addressed
        heading: Contents
    statement front-up of all at p. 3: Contents … 5 Driving … 6 Carrying loads … 7 Trailers
        says: front_wheels_up recreational not_addressed
        heading: Contents
    statement trailer-breakdown of all at p. 198: A car that has broken down is fetched on a flatbed
        truck.
        says: on_trailer emergency permitted
        heading: Breakdown
    properties of all at p. 240
    property gvwr 4180 lb: Gross weight rating, any Osier … {}
    property curb_weight 3090 lb: Curb weight, lightest model … {}
    property overall_length 181 in: Length … {}
    """,
)

_CHAPTER = """
group all at p. 158: All models of the Osier
    cells: powertrain gasoline; drivetrain any; transmission any; transfer_case any
group cvt-fwd-key at p. 159: Osier, front drive, CVT, ignition key
    cells: powertrain gasoline; drivetrain front_wheel_drive; transmission continuously_variable;
    transfer_case none; ignition key
group cvt-fwd-button at p. 159: Osier, front drive, CVT, start button
    cells: powertrain gasoline; drivetrain front_wheel_drive; transmission continuously_variable;
    transfer_case none; ignition button
group awd at p. 161: Osier AW (all-wheel drive, CVT)
    cells: powertrain gasoline; drivetrain all_wheel_drive; transmission continuously_variable;
    transfer_case single_speed

statement cvt-fwd-key of cvt-fwd-key at p. 159: An Osier with front drive can follow a motorhome on
    its four wheels, provided that its gearbox is oiled by running the engine at the times given.
    says: four_wheels_down recreational permitted
    heading: As a second car
limit 1 speed at_most always 55 mph / 88 km/h: Either at up to {} …
limit 1 distance at_most between_engine_runs 250 mi / 400 km: … with the engine run every {} …
limit 1 engine_run at_least between_engine_runs 5 min: … for {} …
limit 2 speed at_most always 65 mph / 105 km/h: … or at up to {} …
limit 2 distance at_most between_engine_runs 150 mi / 240 km: … with the engine run every {} …
limit 2 engine_run at_least between_engine_runs 8 min: … for {}.
limit time at_most per_day 10 h: In no case for longer than {} in a day.
before - warning shifter never: ! Never leave the selector in P. The gearbox would break at once.
before 1 do parking_brake set: Parking brake on.
before 2 do engine start: Start the engine.
before 3 do brake_pedal hold: Foot brake down …
before 3 do shifter shift_to drive: … selector through R, N, D …
before 3 do shifter shift_to neutral: … and back to N.
before 4 do engine stop: Stop the engine with the selector in N.
before 4 do ignition turn_to accessory: Ignition at ACC.
before 5 do fuse pull: Pull 3 (10 A, COMBI), 8 (15 A, OUTLET), 12 (7.5 A, ECU-ACC) under the dash.
    fuse: pull fuse 3 10 A; panel under the dash; circuit COMBI;
    disables instrument_display, odometer; restore before_engine_start
    fuse: pull fuse 8 15 A; panel under the dash; circuit OUTLET; disables car_power_outlet;
    restore not_stated
    fuse: pull fuse 12 7.5 A; panel under the dash; circuit ECU-ACC; disables shifter;
    restore before_engine_start
before 6 do fuse insert: Put the spare 10 A fuse in slot T1 (TOW): it keeps the tail lamps alive.
    fuse: insert fuse T1 10 A; panel under the dash; circuit TOW; restore before_driving
before 7 do coupling attach: Couple the car.
before 8 do parking_brake release: Parking brake off.
en_route 1 do fuse restore: At the distances given: fuses back in …
en_route 1 do engine run: … steps 2 to 5 again.
    text: Repeat steps 2 to 5 before towing, running the engine for the time of the chosen limit.
after 1 do parking_brake set: Parking brake on.
after 2 do coupling detach: Uncouple the car.
after 3 do fuse restore: Fuses back in before the engine is started …
after 3 do fuse remove: … take out T1.
after 4 do shifter shift_to park: Selector to P.

statement cvt-fwd-button of cvt-fwd-button at p. 159: An Osier with front drive can follow a
    motorhome on its four wheels … With a start button: as with a key; press it twice for ACC.
    says: four_wheels_down recreational permitted
    heading: As a second car
    same_steps_as: cvt-fwd-key
limit 1 speed at_most always 55 mph / 88 km/h: Either at up to {} …
limit 1 distance at_most between_engine_runs 250 mi / 400 km: … with the engine run every {} …
limit 1 engine_run at_least between_engine_runs 5 min: … for {} …
limit 2 speed at_most always 65 mph / 105 km/h: … or at up to {} …
limit 2 distance at_most between_engine_runs 150 mi / 240 km: … with the engine run every {} …
limit 2 engine_run at_least between_engine_runs 8 min: … for {}.
limit time at_most per_day 10 h: In no case for longer than {} in a day.

statement awd of awd at p. 161: Towing an Osier AW on four wheels is not recommended beyond 50 mi
    (80 km).
    says: four_wheels_down recreational permitted
    heading: As a second car
limit speed at_most always 45 mph / 72 km/h: Do not exceed {}.
limit distance at_most per_trip 50 mi / 80 km: … not recommended beyond {}.
before 1 do shifter shift_to neutral: Selector to N with the engine running …
before 1 do engine stop: … then stop the engine.
before 2 do coupling attach: Couple the car.
before 3 do parking_brake release: Parking brake off.
after 1 do parking_brake set: Parking brake on.
after 2 do coupling detach: Uncouple the car.
statement front-up of all at p. 162: With a dolly ask your Dunmere agent; the tie-down points
    differ.
    says: front_wheels_up recreational refer_to_maker
    heading: As a second car
statement rear-up of all at p. 162: Rear wheels on a dolly: never.
    says: rear_wheels_up any prohibited
    heading: As a second car
statement trailer of all at p. 162: On a trailer: any Osier.
    says: on_trailer recreational permitted
    heading: As a second car
statement awd-breakdown of awd at p. 205: A broken-down AW must not be pulled on its wheels.
    says: four_wheels_down emergency prohibited
    heading: Breakdown

properties of all at p. 250
property overall_length 182.3 in / 4630 mm: Length … {}
property wheelbase 106.3 in / 2700 mm: Wheelbase … {}
property rear_lamps separate_turn: Rear lamps: stop and turn separate, LED
property lamp_type led: Rear lamps: stop and turn separate, LED
properties of cvt-fwd-key at p. 251
property gvwr 4240 lb / 1923 kg: Front drive … gross weight rating {}
property curb_weight 3145 lb / 1427 kg: Front drive … curb weight {}
property brake_assist vacuum: Brake servo: engine vacuum
property key_on_draw 0.9 A: Ignition at ACC, fuses 3, 8 and 12 out: {}
properties of cvt-fwd-button at p. 251
property gvwr 4240 lb / 1923 kg: Front drive … gross weight rating {}
property curb_weight 3150 lb / 1429 kg: Front drive, start button … curb weight {}
properties of awd at p. 251
property gvwr 4420 lb / 2005 kg: AW … gross weight rating {}
property curb_weight 3330 lb / 1510 kg: AW … curb weight {}
"""

OSIER_2021 = Document(
    "dunmere-om-osier-2021",
    "owner_manual",
    "Dunmere Osier Driver's Handbook 2021 (invented)",
    "Dunmere Car Works",
    "vehicle_maker",
    entered=("Imre Solvang", "2025-01-20"),
    checked="Maren Ilvane",
    obtained_on="2025-01-14",
    published_on="2020-10-05",
    document_number="DCW H-21-OS",
    market="xa",
    years=(2021, 2021),
    make="Dunmere",
    model="Osier",
    prefix="dunmere-osier-2021",
    pages=_CHAPTER,
)
OSIER_2022 = reprint(
    OSIER_2021,
    2,
    source_id="dunmere-om-osier-2022",
    title="Dunmere Osier Driver's Handbook 2022 (invented)",
    entered=("Imre Solvang", "2025-01-21"),
    published_on="2021-10-04",
    document_number="DCW H-22-OS",
    years=(2022, 2022),
    prefix="dunmere-osier-2022",
)

DOCUMENTS = (OSIER_2018, OSIER_2021, OSIER_2022)
