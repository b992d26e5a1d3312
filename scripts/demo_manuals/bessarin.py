"""Bessarin Lowan: six fuses, a key and a button variant, and a bulletin from a build date on."""

from scripts.demo_manuals.notation import Document, reprint

_CHAPTER = """
group all at p. 186: all Lowan models
    cells: powertrain gasoline; drivetrain any; transmission any; transfer_case any
group fwd-key at p. 188: Front-wheel drive with CVT, vehicles with an ignition key
    cells: powertrain gasoline; drivetrain front_wheel_drive; transmission continuously_variable;
    transfer_case none; ignition key
group fwd-button at p. 188: Front-wheel drive with CVT, vehicles with a START button
    cells: powertrain gasoline; drivetrain front_wheel_drive; transmission continuously_variable;
    transfer_case none; ignition button
group fwd at p. 191: Lowan with front-wheel drive
    cells: powertrain gasoline; drivetrain front_wheel_drive; transmission any; transfer_case none
group awd at p. 191: Lowan AW (all-wheel drive)
    cells: powertrain gasoline; drivetrain all_wheel_drive; transmission any; transfer_case any

statement fwd-key of fwd-key at p. 188: Your front-wheel drive Lowan can be towed behind a motorhome
    with all four wheels on the road. Vehicles with a key: follow these steps exactly.
    says: four_wheels_down recreational permitted
    heading: Dinghy towing
limit speed at_most always 65 mph: Do not exceed {}.
limit distance at_most between_engine_runs 200 mi: Every {} stop and run the engine …
limit engine_run at_least between_engine_runs 5 min: … run the engine for {}.
limit engine_run at_least start_of_day 3 min: At the start of each day run the engine for {}.
before - warning transmission never: WARNING! If the transmission is not shifted from D to N with
    the engine running, it will be destroyed. Never tow without step 5.
before 1 do fluid_level check: Check the transmission fluid level; do not tow with a low level.
before 2 do parking_brake set: Set the parking brake.
before 3 do engine start: Start the engine …
before 3 do brake_pedal hold: … and press the brake pedal.
before 4 do shifter shift_to reverse 5 s: Shift to R and stay there for {}.
before 5 do shifter shift_to drive 5 s: Shift to D and stay there for {} …
before 5 do shifter shift_to neutral: … then shift to N.
before 6 wait engine run 3 min: Let the engine run in N for {}.
before 7 do engine stop: Turn the ignition to ACC (press START once). The engine stops …
before 7 do ignition turn_to accessory: Turn the ignition to ACC (press START once) … the steering
    stays unlocked.
page p. 189
before 8 do fuse pull: Pull these fuses from the driver's side panel: 6 (7.5 A, ACC), 11 (10 A,
    METER), 13 (10 A, STRLK), 22 (15 A, RR SOCKET).
    fuse: pull fuse 6 7.5 A; panel driver's side; circuit ACC; disables telematics;
    restore before_engine_start
    fuse: pull fuse 11 10 A; panel driver's side; circuit METER;
    disables odometer, instrument_display; restore before_engine_start
    fuse: pull fuse 13 10 A; panel driver's side; circuit STRLK; disables steering_lock;
    restore before_engine_start
    fuse: pull fuse 22 15 A; panel driver's side; circuit RR SOCKET; disables car_power_outlet;
    restore before_engine_start
before 9 do fuse pull: From the panel under the hood pull fuse 31 (20 A, ESC) and relay R4 (SHIFT).
    fuse: pull fuse 31 20 A; panel under the hood; circuit ESC; disables stability_control;
    restore before_engine_start
    fuse: pull relay R4; panel under the hood; circuit SHIFT; disables shifter;
    restore before_engine_start
before 10 do parking_brake release: Release the parking brake.
en_route 1 do fuse restore: Every 200 mi put the fuses back …
en_route 1 do engine start: … start the engine …
en_route 1 do shifter repeat: … repeat steps 4 and 5 …
en_route 1 do engine run 5 min: … run it for {} …
en_route 1 do fuse pull: … and pull the fuses again.
after 1 do parking_brake set: Set the parking brake.
after 2 do fuse restore: Put all fuses and the relay back before the engine is started.
after 3 do engine start: Start the engine. The lamp ESC goes out after a short drive.
    expect: the ESC lamp goes out within 5 min
    if_not: have fuse 31 checked

statement fwd-button of fwd-button at p. 188: Your front-wheel drive Lowan can be towed behind a
    motorhome … Vehicles with a START button: follow the same steps; press START where the key is
    turned.
    says: four_wheels_down recreational permitted
    heading: Dinghy towing
    same_steps_as: fwd-key
limit speed at_most always 65 mph: Do not exceed {}.
limit distance at_most between_engine_runs 200 mi: Every {} stop and run the engine …
limit engine_run at_least between_engine_runs 5 min: … run the engine for {}.
limit engine_run at_least start_of_day 3 min: At the start of each day run the engine for {}.

statement awd-four-down of awd at p. 191: Never tow a Lowan with all-wheel drive with any wheel on
    the road behind a motorhome. The rear coupling overheats.
    says: four_wheels_down recreational prohibited
    heading: Dinghy towing
statement fwd-dolly of fwd at p. 191: A front-wheel drive Lowan may be towed with its front wheels
    on a dolly; release the parking brake.
    says: front_wheels_up recreational permitted
    heading: Tow dollies
limit speed at_most always 55 mph: Maximum speed on a dolly: {}.
statement awd-dolly of awd at p. 191: Never tow a Lowan with all-wheel drive with the front wheels
    on a dolly.
    says: front_wheels_up any prohibited
    heading: Tow dollies
statement rear-up of all at p. 191: Do not lift the rear wheels alone. This holds for all Lowan
    models.
    says: rear_wheels_up any prohibited
    heading: Tow dollies
statement trailer of all at p. 192: All Lowan models may be carried on a trailer, tied down by the
    wheels.
    says: on_trailer recreational permitted
    heading: Trailers
statement fwd-breakdown of fwd at p. 284: If no flatbed can be had, a front-wheel drive Lowan may be
    pulled with all wheels down, selector in N.
    says: four_wheels_down emergency permitted
    heading: If your vehicle breaks down
limit speed at_most always 30 mph: … slower than {} …
limit distance at_most per_trip 15 mi: … and for no more than {}.
before 1 do ignition turn_to accessory: Turn the ignition to ACC.
before 2 do shifter shift_to neutral: Shift to N.
before 3 do parking_brake release: Release the parking brake.
after 1 do parking_brake set: When you have arrived, set the parking brake.
statement awd-breakdown of awd at p. 284: A Lowan with all-wheel drive that has broken down must be
    carried with all wheels off the road.
    says: four_wheels_down emergency prohibited
    heading: If your vehicle breaks down

properties of all at p. 330
property overall_length 178.4 in: Length overall … {}
property wheelbase 105.5 in: Wheelbase … {}
property rear_lamps separate_turn: Rear combination lamp … stop (LED) and turn signal (LED) apart
property lamp_type led: Rear combination lamp … stop (LED) and turn signal (LED) apart
property battery_capacity 48 Ah: Battery … {} (20 h)
properties of fwd-key at p. 331
property gvwr 4340 lb: FWD … Gross vehicle weight rating {}
property curb_weight 3255 lb: FWD … Curb weight {}
property brake_assist vacuum: Vacuum-assisted brakes; the assist is gone after one or two pedal
    strokes with the engine off.
property brake_assist_without_engine no: … the assist is gone after one or two pedal strokes with
    the engine off.
property steering_lock yes: The steering wheel locks when the key is removed.
property key_on_draw 0.6 A: Draw with the fuses of page 189 removed, switch at ACC … {}
properties of fwd-button at p. 331
property gvwr 4340 lb: FWD … Gross vehicle weight rating {}
property curb_weight 3262 lb: FWD with START button … Curb weight {}
property brake_assist vacuum: Vacuum-assisted brakes; the assist is gone after one or two pedal
    strokes with the engine off.
properties of fwd at p. 331
property gvwr 4340 lb: FWD … Gross vehicle weight rating {}
property curb_weight 3255 lb: FWD … Curb weight from {}
properties of awd at p. 331
property gvwr 4520 lb: AWD … Gross vehicle weight rating {}
property curb_weight 3450 lb: AWD … Curb weight {}
"""

LOWAN_2020 = Document(
    "bessarin-om-lowan-2020",
    "owner_manual",
    "Bessarin Lowan Owner's Handbook 2020 (invented)",
    "Bessarin Automobile",
    "vehicle_maker",
    entered=("Dunya Orrel", "2024-03-18"),
    checked="Imre Solvang",
    obtained_on="2024-03-14",
    published_on="2019-07-01",
    document_number="BA-20-LOW-E",
    edition="printing 1",
    market="xa",
    years=(2020, 2020),
    make="Bessarin",
    model="Lowan",
    prefix="bessarin-lowan-2020",
    pages=_CHAPTER,
)
LOWAN_2021 = reprint(
    LOWAN_2020,
    4,
    {"3255 lb": "3270 lb", "3262 lb": "3277 lb", "of page 189": "of page 193"},
    source_id="bessarin-om-lowan-2021",
    title="Bessarin Lowan Owner's Handbook 2021 (invented)",
    entered=("Dunya Orrel", "2024-04-08"),
    obtained_on="2024-03-14",
    published_on="2020-06-15",
    document_number="BA-21-LOW-E",
    years=(2021, 2021),
    prefix="bessarin-lowan-2021",
)
LOWAN_BULLETIN = Document(
    "bessarin-tb-21-07",
    "technical_bulletin",
    "Technical Bulletin 21-07: Dinghy towing of Lowan with transaxle B2 (invented)",
    "Bessarin Automobile",
    "vehicle_maker",
    entered=("Dunya Orrel", "2024-10-21"),
    checked="Maren Ilvane",
    obtained_on="2024-10-17",
    published_on="2021-05-03",
    document_number="TB 21-07",
    market="xa",
    years=(2021, 2021),
    make="Bessarin",
    model="Lowan",
    prefix="bessarin-lowan-2021",
    pages="""
    group fwd-b2 at p. 1: Lowan, front-wheel drive, CVT, produced on or after March 1, 2021
        cells: powertrain gasoline; drivetrain front_wheel_drive;
        transmission continuously_variable; transfer_case none; built_from 2021-03-01
    statement fwd-b2 of fwd-b2 at p. 1: Transaxle B2 has no oil pump on the output side. These
        vehicles must not be towed with the drive wheels on the road. Handbook pages 192 to 194 do
        not apply to them, key or START button.
        says: four_wheels_down recreational prohibited
        heading: Change to the Owner's Handbook 2021
        overrides: fwd-key, fwd-button
    properties of fwd-b2 at p. 2
    property gvwr 4340 lb: Gross vehicle weight rating (unchanged) … {}
    property curb_weight 3281 lb: Curb weight with transaxle B2 … {}
    """,
)

DOCUMENTS = (LOWAN_2020, LOWAN_2021, LOWAN_BULLETIN)
