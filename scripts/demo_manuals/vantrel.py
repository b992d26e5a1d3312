"""Vantrel Hollin: a heavy pickup with three transfer cases and two parking brakes."""

from scripts.demo_manuals.notation import Document, reprint

_CHAPTER = """
group all at p. 305: Hollin pickup, all models
    cells: powertrain gasoline | diesel; drivetrain any; transmission planetary_automatic;
    transfer_case any
group lever-case at p. 306: 4WD Hollin with a floor lever for the transfer case and a foot-operated
    parking brake
    cells: powertrain gasoline | diesel; drivetrain part_time_four_wheel_drive;
    transmission planetary_automatic; transfer_case two_speed_with_neutral; parking_brake foot_pedal
group lever-case-epb at p. 306: 4WD Hollin with a floor lever for the transfer case and an electric
    parking brake
    cells: powertrain gasoline | diesel; drivetrain part_time_four_wheel_drive;
    transmission planetary_automatic; transfer_case two_speed_with_neutral; parking_brake electric
group knob-case at p. 308: 4WD Hollin with a dash knob for the transfer case and the Camper option
    cells: powertrain gasoline; drivetrain part_time_four_wheel_drive | full_time_four_wheel_drive;
    transmission planetary_automatic; transfer_case two_speed_without_neutral; options_with Camper
group full-time at p. 308: Hollin with full-time 4WD and a single-speed transfer case
    cells: powertrain gasoline | diesel; drivetrain full_time_four_wheel_drive;
    transmission planetary_automatic; transfer_case single_speed
group two-wheel at p. 308: 2WD Hollin
    cells: powertrain gasoline | diesel; drivetrain rear_wheel_drive;
    transmission planetary_automatic; transfer_case none

statement lever-case of lever-case at p. 306: Only 4WD models with a floor lever for the transfer
    case may be flat towed behind a motorhome. Put the transfer case in NEUTRAL and the transmission
    in PARK.
    says: four_wheels_down recreational permitted
    heading: Recreational towing
limit 1 speed at_most always 70 mph: Up to {} …
limit 1 distance at_most per_day 500 mi: … for up to {} a day …
limit 2 speed at_most always 55 mph: … or up to {} …
limit 2 distance at_most per_day unlimited: … without limit of distance.
before - warning transfer_case never: WARNING! With the transfer case in NEUTRAL the truck can roll
    away although the transmission is in PARK. Set the parking brake first.
before 1 do parking_brake set: Set the parking brake.
before 2 do brake_pedal hold: Hold the brake pedal …
before 2 do engine start: … and start the engine.
before 3 do transmission shift_to neutral: Shift the transmission to N.
before 4 do transfer_case shift_to neutral: Lift the collar of the floor lever and move it to
    NEUTRAL.
    expect: the lever stays in the gate marked N
before 5 verify transmission shift_to drive: Shift to D … letting the brake up a little … The truck
    must stay where it is.
before 5 verify transmission shift_to reverse: … then to R, letting the brake up a little each time.
    The truck must stay where it is.
    if_not: the transfer case is not in NEUTRAL; begin again at step 3
before 6 do transmission shift_to park: Shift to P …
before 6 do engine stop: … and stop the engine.
before 7 do coupling attach: Attach the tow bar and the safety cables.
page p. 307
before 8 do fuse pull: Open the underhood box. Pull fuse 28 (30 A, TRLR BRK), fuse 41 (10 A,
    CLUSTER) and relay R7 (TELEM).
    fuse: pull fuse 28 30 A; panel underhood box; circuit TRLR BRK; restore before_driving
    fuse: pull fuse 41 10 A; panel underhood box; circuit CLUSTER;
    disables instrument_display, odometer; restore before_driving
    fuse: pull relay R7; panel underhood box; circuit TELEM; disables telematics; restore not_stated
before 9 do ignition turn_to accessory: Turn the ignition to ACC so the steering stays free.
before 10 do parking_brake release: Release the parking brake.
en_route 1 verify coupling check: Stop after the first 50 mi and check the tow bar and cables.
en_route 2 verify fluid_level check: Look under the truck at each fuel stop. Fluid below the
    transfer case: do not go on.
after 1 do parking_brake set: Set the parking brake.
after 2 do coupling detach: Detach the tow bar.
after 3 do fuse restore: Put the fuses and the relay back.
after 4 do brake_pedal hold: Hold the brake pedal …
after 4 do engine start: … start the engine …
after 4 do transmission shift_to neutral: … shift to N.
after 5 do transfer_case shift_to two_high: Move the floor lever to 2H.

statement lever-case-epb of lever-case-epb at p. 306: … models with a floor lever for the transfer
    case may be flat towed behind a motorhome. With an electric parking brake the steps are the
    same.
    says: four_wheels_down recreational permitted
    heading: Recreational towing
    same_steps_as: lever-case
limit 1 speed at_most always 70 mph: Up to {} …
limit 1 distance at_most per_day 500 mi: … for up to {} a day …
limit 2 speed at_most always 55 mph: … or up to {} …
limit 2 distance at_most per_day unlimited: … without limit of distance.

statement knob-case of knob-case at p. 308: 4WD with a dash knob, Camper option: see your Vantrel
    dealer, who can say whether a neutral kit is fitted.
    says: four_wheels_down recreational refer_to_maker
    heading: Recreational towing
statement full-time of full-time at p. 308: Do not flat tow a Hollin with full-time 4WD and a
    single-speed transfer case.
    says: four_wheels_down recreational prohibited
    heading: Recreational towing
statement two-wheel of two-wheel at p. 308: Flat towing a 2WD Hollin is not recommended. The
    transmission is not lubricated with the engine stopped.
    says: four_wheels_down recreational not_recommended
    heading: Recreational towing
statement two-wheel-rear-up of two-wheel at p. 308: A 2WD Hollin may be towed with the rear wheels
    on a dolly and the steering clamped straight ahead.
    says: rear_wheels_up recreational permitted
    heading: Recreational towing
limit speed at_most always 50 mph: Dolly speed {} or less
statement front-up of all at p. 309: Do not tow any Hollin with the front wheels raised.
    says: front_wheels_up any not_recommended
    heading: Recreational towing
statement trailer of all at p. 309: Any Hollin may be hauled on a trailer rated for its weight.
    says: on_trailer recreational permitted
    heading: Recreational towing
statement lever-case-emergency of lever-case at p. 388: If the truck is disabled in traffic it may
    be towed on four wheels off the road.
    says: four_wheels_down emergency permitted
    heading: Towing a disabled vehicle
limit speed at_most always 15 mph: Do not exceed {} …
limit distance at_most per_trip 1 mi: … or {}.
before 1 do transmission shift_to neutral: Shift to N.
before 2 do transfer_case shift_to neutral: Move the floor lever to NEUTRAL.
before 3 do parking_brake release: Release the parking brake.
after 1 do parking_brake set: Set the parking brake.

properties of all at p. 440
property overall_length 17.9 ft: Overall length, crew cab … {}
property wheelbase 140.6 in: Wheelbase, crew cab … {}
property rear_lamps combined_turn: Tail lamp: one bulb for stop and turn
property lamp_type bulb: Tail lamp: one bulb for stop and turn
properties of lever-case at p. 441
property gvwr 6600 lb: 4WD, floor lever … GVWR {}
property curb_weight 4885 lb: 4WD, floor lever … curb weight {}
property brake_assist hydraulic: Hydraulic brake booster driven by the power steering pump
property gawr_front 3400 lb: 4WD … GAWR front {}
property gawr_rear 3900 lb: 4WD … GAWR rear {}
properties of lever-case-epb at p. 441
property gvwr 6600 lb: 4WD, floor lever … GVWR {}
property curb_weight 4898 lb: 4WD, floor lever, electric parking brake … curb weight {}
properties of knob-case at p. 441
property gvwr 6700 lb: 4WD, dash knob … GVWR {}
property curb_weight 4960 lb: 4WD, dash knob … curb weight {}
properties of full-time at p. 441
property gvwr 6500 lb: Full-time 4WD … GVWR {}
property curb_weight 4840 lb: Full-time 4WD … curb weight {}
properties of two-wheel at p. 441
property gvwr 6200 lb: 2WD … GVWR {}
property curb_weight 4510 lb: 2WD … curb weight {}
"""

HOLLIN_2019 = Document(
    "vantrel-om-hollin-2019",
    "owner_manual",
    "Vantrel Hollin 2019 Owner Manual (invented)",
    "Vantrel Truck Company",
    "vehicle_maker",
    entered=("Imre Solvang", "2024-08-05"),
    checked="Dunya Orrel",
    obtained_on="2024-07-29",
    published_on="2018-08-20",
    document_number="VTC-HOL-19",
    edition="2nd printing",
    market="xa",
    years=(2019, 2019),
    make="Vantrel",
    model="Hollin",
    prefix="vantrel-hollin-2019",
    pages=_CHAPTER,
)
HOLLIN_2020 = reprint(
    HOLLIN_2019,
    8,
    {"70 mph": "65 mph"},
    source_id="vantrel-om-hollin-2020",
    title="Vantrel Hollin 2020 Owner Manual (invented)",
    entered=("Imre Solvang", "2024-08-12"),
    published_on="2019-08-19",
    document_number="VTC-HOL-20",
    edition="1st printing",
    years=(2020, 2020),
    prefix="vantrel-hollin-2020",
)
HOLLIN_LABEL = Document(
    "vantrel-label-hollin-2020-drover",
    "certification_label",
    "Certification label, Hollin 2020 Drover 3.5, driver's door (invented)",
    "Vantrel Truck Company",
    "vehicle_maker",
    entered=("Maren Ilvane", "2025-05-19"),
    checked="Dunya Orrel",
    obtained_on="2025-05-16",
    file_name="hollin-2020-drover-door.jpg",
    market="xa",
    years=(2020, 2020),
    make="Vantrel",
    model="Hollin",
    prefix="vantrel-hollin-2020-label",
    pages="""
    group drover at driver's door: HOLLIN 4X4 DROVER 3.5L AUTO FLOOR SHIFT T/C
        cells: trim Drover; engine 3.5 L; powertrain gasoline;
        drivetrain part_time_four_wheel_drive; transmission planetary_automatic;
        transfer_case two_speed_with_neutral; otherwise -
    properties of drover at driver's door
    property gvwr 6550 lb / 2971 kg: GVWR: {}
    property gawr_front 3400 lb / 1542 kg: GAWR FRONT: {}
    property gawr_rear 3900 lb / 1769 kg: GAWR REAR: {}
    """,
)
HOLLIN_TICKET = Document(
    "shop-ticket-hollin-2020",
    "scale_ticket",
    "Scale ticket 4471, Hollin 2020 Drover, empty, tank full (invented)",
    "Solvang and Orrel, Fitters",
    "shop",
    entered=("Maren Ilvane", "2025-05-20"),
    checked="Imre Solvang",
    obtained_on="2025-05-16",
    file_name="ticket-4471.jpg",
    make="Vantrel",
    model="Hollin",
    basis="measured",
    pages="""
    properties of vantrel-hollin-2020-label-drover at ticket 4471
    property curb_weight 4960 lb: GROSS {} … DRIVER OFF … FUEL FULL
        definition: weighed as found: bed liner and running boards aboard
    """,
)

DOCUMENTS = (HOLLIN_2019, HOLLIN_2020, HOLLIN_LABEL, HOLLIN_TICKET)
