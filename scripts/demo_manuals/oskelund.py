"""Oskelund, a maker who prints kilograms and km/h: Fjell, a pickup, and Brim, battery electric."""

from scripts.demo_manuals.notation import Document, reprint

_FJELL = """
group all at p. 148: Fjell, all versions
    cells: powertrain diesel; drivetrain any; transmission any; transfer_case any
group manual-lever at p. 150: Four-wheel drive with reduction gear, manual gearbox, hand lever for
    the parking brake
    cells: powertrain diesel; drivetrain part_time_four_wheel_drive; transmission manual;
    transfer_case two_speed_with_neutral; parking_brake hand_lever
group manual-switch at p. 150: Four-wheel drive with reduction gear, manual gearbox, switch for the
    parking brake
    cells: powertrain diesel; drivetrain part_time_four_wheel_drive; transmission manual;
    transfer_case two_speed_with_neutral; parking_brake electric
group automatic at p. 152: Four-wheel drive with automatic gearbox
    cells: powertrain diesel; drivetrain part_time_four_wheel_drive;
    transmission planetary_automatic; transfer_case two_speed_with_neutral
group two-wheel at p. 152: Rear-wheel drive
    cells: powertrain diesel; drivetrain rear_wheel_drive; transmission any; transfer_case none

statement manual-lever of manual-lever at p. 150: With the reduction gear in N the Fjell may follow
    a motorhome on its own four wheels.
    says: four_wheels_down recreational permitted
    heading: Behind a motor caravan
limit speed at_most always 90 km/h: Highest speed {}.
limit distance at_most between_rests 250 km: After {} rest …
limit rest at_least between_rests 20 min: … rest for {}.
limit ambient_temperature at_least always -20 degC: Not when it is colder than {}.
once 1 do coupling check: Before the first journey have the tow lug bolts drawn up by a workshop.
before 2 do ignition turn_to run: Key to II.
before 3 do transmission shift_to neutral: Gear lever to neutral.
before 4 do transfer_case select neutral 5 s: Turn the range knob to N and hold it there for {}.
    expect: the text "N" shows without blinking
    if_not: drive 10 m forward and try again
before 5 do fuse pull: Pull from the box on the left wheel arch: 4 (30 A, ABS), 7 (5 A, INST), 9 (10
    A, TELE); swap 15 with 16 (15 A, HORN).
    fuse: pull fuse 4 30 A; panel left wheel arch; circuit ABS; disables stability_control;
    restore before_engine_start
    fuse: pull fuse 7 5 A; panel left wheel arch; circuit INST;
    disables odometer, instrument_display; restore before_engine_start
    fuse: pull fuse 9 10 A; panel left wheel arch; circuit TELE; disables telematics;
    restore before_engine_start
    fuse: swap fuse 15 to 16 15 A; panel left wheel arch; circuit HORN; restore before_engine_start
before 6 do ignition turn_to accessory: Key to I. Leave it there.
before 7 do coupling attach: Hitch the vehicle to the bar.
before 8 do parking_brake release: Release the parking brake.
en_route 1 verify display check neutral: At each rest: the display still shows N.
en_route 2 verify fluid_level check: At each rest: no oil below the reduction gear.
    only_when: after more than 1,000 km in a week
    if_not: do not go on; call a workshop
after 1 do parking_brake set: Apply the parking brake.
after 2 do coupling detach: Unhitch the vehicle.
after 3 do fuse restore: Put the fuses back in their places before the engine is started.
after 4 do transfer_case select two_high: Turn the range knob to 2H.
    expect: the text "N" goes out

statement manual-switch of manual-switch at p. 150: Vehicles with a switch for the parking brake …
    may follow a motorhome in the same way; the switch works with the key at I.
    says: four_wheels_down recreational permitted
    heading: Behind a motor caravan
    same_steps_as: manual-lever
limit speed at_most always 90 km/h: Highest speed {}.
limit distance at_most between_rests 250 km: After {} rest …
limit rest at_least between_rests 20 min: … rest for {}.
limit ambient_temperature at_least always -20 degC: Not when it is colder than {}.

statement automatic of automatic at p. 152: With the automatic gearbox ask an Oskelund workshop
    whether your vehicle may follow a motorhome on its own wheels.
    says: four_wheels_down recreational refer_to_maker
    heading: Behind a motor caravan
statement two-wheel of two-wheel at p. 152: The rear-wheel drive Fjell must not follow a motorhome
    on its own wheels.
    says: four_wheels_down recreational prohibited
    heading: Behind a motor caravan
statement two-wheel-rear-up of two-wheel at p. 153: The rear-wheel drive Fjell may be drawn with its
    rear wheels on a dolly, steering locked straight.
    says: rear_wheels_up recreational permitted
    heading: Behind a motor caravan
limit speed at_most always 80 km/h: … drawn at up to {}.
limit distance at_most per_trip 800 km: … and not more than {}.
statement front-up of all at p. 153: No Fjell may be drawn with only its front wheels lifted.
    says: front_wheels_up any prohibited
    heading: Behind a motor caravan
statement trailer of all at p. 153: Every Fjell may be carried on a trailer.
    says: on_trailer recreational permitted
    heading: Behind a motor caravan
statement manual-assistance of manual-lever at p. 212: To be hauled out: gears and range in N, for a
    short way.
    says: four_wheels_down emergency permitted
    heading: Roadside assistance
limit speed at_most always 30 km/h: not faster than {}
limit distance at_most per_trip 5 km: not farther than {}
before 1 do transmission shift_to neutral: Gear lever to neutral …
before 1 do transfer_case select neutral: … range knob to N.
before 2 do parking_brake release: Release the parking brake.
after 1 do parking_brake set: Apply the parking brake.

properties of all at p. 288
property overall_length 5120 mm: Length {}
property wheelbase 3090 mm: Wheelbase {}
property rear_lamps combined_turn: Rear: stop and direction in one lamp, 12 V 21 W
property lamp_type bulb: Rear: stop and direction in one lamp, 12 V 21 W
properties of manual-lever at p. 289
property gvwr 2100 kg: 4×4, manual … permitted total weight {}
property curb_weight 1570 kg: 4×4, manual … empty weight {}
property brake_assist hydraulic: Brake booster: hydraulic, fed by the steering pump
property brake_assist_without_engine no: Without the engine there is no boost.
properties of manual-switch at p. 289
property gvwr 2100 kg: 4×4, manual … permitted total weight {}
property curb_weight 1578 kg: 4×4, manual, parking brake switch … empty weight {}
properties of automatic at p. 289
property gvwr 2160 kg: 4×4, automatic … permitted total weight {}
property curb_weight 1625 kg: 4×4, automatic … empty weight {}
properties of two-wheel at p. 289
property gvwr 1990 kg: 4×2 … permitted total weight {}
property curb_weight 1465 kg: 4×2 … empty weight {}
property gawr_rear 1200 kg: 4×2 … rear axle {}
"""

FJELL_2022 = Document(
    "oskelund-om-fjell-2022",
    "owner_manual",
    "Oskelund Fjell: Instruction Book 2022 (invented)",
    "Oskelund Bilverk",
    "vehicle_maker",
    entered=("Maren Ilvane", "2024-07-08"),
    checked="Dunya Orrel",
    obtained_on="2024-07-01",
    published_on="2021-10-01",
    document_number="OB 4410-22",
    edition="edition 22.1",
    market="xa | xb",
    years=(2022, 2022),
    make="Oskelund",
    model="Fjell",
    prefix="oskelund-fjell-2022",
    pages=_FJELL,
)
FJELL_2023 = reprint(
    FJELL_2022,
    2,
    source_id="oskelund-om-fjell-2023",
    title="Oskelund Fjell: Instruction Book 2023 (invented)",
    entered=("Maren Ilvane", "2025-08-25"),
    obtained_on="2025-08-20",
    published_on="2022-10-03",
    document_number="OB 4410-23",
    edition="edition 23.1",
    years=(2023, 2023),
    prefix="oskelund-fjell-2023",
)
BRIM_2023 = Document(
    "oskelund-om-brim-2023",
    "owner_manual",
    "Oskelund Brim: Instruction Book 2023 (invented)",
    "Oskelund Bilverk",
    "vehicle_maker",
    entered=("Dunya Orrel", "2024-11-04"),
    checked="Maren Ilvane",
    obtained_on="2024-10-28",
    published_on="2022-09-05",
    document_number="OB 5120-23",
    edition="edition 23.1",
    market="xa | xb",
    years=(2023, 2024),
    make="Oskelund",
    model="Brim",
    prefix="oskelund-brim-2023",
    pages="""
    group single at p. 120: Brim with one motor (rear)
        cells: powertrain battery_electric; drivetrain rear_wheel_drive; transmission single_speed;
        transfer_case none
    group twin at p. 120: Brim with two motors (front and rear)
        cells: powertrain battery_electric; drivetrain all_wheel_drive; transmission single_speed;
        transfer_case none
    group all at p. 119: Brim
        cells: powertrain battery_electric; drivetrain any; transmission single_speed;
        transfer_case none
    statement single-four-down of single at p. 120: The motors turn with the wheels. Never draw the
        Brim with its driven wheels on the road.
        says: four_wheels_down any prohibited
        heading: Transport
    statement twin-four-down of twin at p. 120: The motors turn with the wheels. Never draw the Brim
        with its driven wheels on the road.
        says: four_wheels_down any prohibited
        heading: Transport
    statement front-up of all at p. 120: Never lift the front wheels only.
        says: front_wheels_up any prohibited
        heading: Transport
    statement single-rear-up of single at p. 121: With one motor: rear wheels on a dolly, as far as
        the nearest workshop.
        says: rear_wheels_up emergency permitted
        heading: Transport in an emergency
    limit speed at_most always 50 km/h: {} at most
    statement twin-rear-up of twin at p. 121: With two motors: never with any wheel on the road.
        says: rear_wheels_up any prohibited
        heading: Transport
    statement trailer of all at p. 121: The Brim may be carried on a trailer in transport mode.
        says: on_trailer recreational permitted
        heading: Transport
    before 1 do electronic_mode select tow_mode: Choose Transport mode on the screen.
    before 2 do wheel_chocks set: Chock the wheels …
    before 2 do vehicle attach: … and tie down all four.
    statement trailer-assistance of all at p. 121: Roadside assistance shall carry the Brim with no
        wheel on the road.
        says: on_trailer emergency permitted
        heading: Transport in an emergency
    properties of single at p. 202
    property gvwr 2045 kg: One motor … permitted total weight {}
    property curb_weight 1610 kg: One motor … empty weight {}
    property battery_capacity 40 Ah: 12 V battery {}
    properties of twin at p. 202
    property gvwr 2180 kg: Two motors … permitted total weight {}
    property curb_weight 1735 kg: Two motors … empty weight {}
    properties of all at p. 201
    property overall_length 4210 mm: Length {}
    property lamp_type led: Rear lamps: LED throughout
    property brake_assist electric: Brake booster: electric
    """,
)

DOCUMENTS = (FJELL_2022, FJELL_2023, BRIM_2023)
