"""Pellworth Gannet: manual permitted, dual clutch sent to the maker; weights from a brochure."""

from scripts.demo_manuals.notation import Document, reprint

_CHAPTER = """
group all at p. 140: Gannet, Gannet Estate
    cells: powertrain gasoline; drivetrain front_wheel_drive; transmission any; transfer_case none
group manual at p. 142: Gannet with 6-speed manual gearbox
    cells: powertrain gasoline; drivetrain front_wheel_drive; transmission manual;
    transfer_case none
group dual-clutch at p. 143: Gannet with 7-speed dual-clutch gearbox
    cells: powertrain gasoline; drivetrain front_wheel_drive; transmission dual_clutch;
    transfer_case none

statement manual of manual at p. 142: The Gannet with manual gearbox may be taken along behind a
    motorhome on all four wheels.
    says: four_wheels_down recreational permitted
    heading: Taking the car along
limit speed at_most always 100 km/h: up to {}
limit distance at_most between_rests 200 km: after {} a rest …
limit rest at_least between_rests 15 min: … a rest of {}
limit grade at_most always 15 %: no slopes above {}
before 1 do parking_brake set: Apply the parking brake.
before 2 do transmission shift_to neutral: Move the gear lever to neutral.
before 3 do ignition turn_to accessory: Press START once, without the clutch.
    expect: the radio is on, the engine lamp is dark
before 4 do fuse pull: Pull 33 (7.5 A, ABS-ECU) and switch off 47 (MAIN RADIO) by the lever fitted
    there.
    fuse: pull fuse 33 7.5 A; panel engine bay; circuit ABS-ECU; disables stability_control;
    restore before_driving
    fuse: switch_off fuse 47; panel engine bay; circuit MAIN RADIO; disables telematics;
    restore not_stated
before 5 do coupling attach: Couple the car.
before 6 do doors lock: Lock the doors with the spare key.
before 7 do parking_brake release: Release the parking brake through the left window.
en_route 1 verify battery check 12 V: At each rest the battery must show {} or more.
    only_when: below 0 degC
after 1 do parking_brake set: Apply the parking brake.
after 2 do coupling detach: Uncouple the car.
after 3 do fuse restore: Put 33 back and switch 47 on.
after 4 verify display check: Drive off; the ABS lamp must go out.

statement dual-clutch of dual-clutch at p. 143: Dual-clutch gearbox: Pellworth customer service will
    tell you whether your car can be towed on four wheels.
    says: four_wheels_down recreational refer_to_maker
    heading: Taking the car along
statement dolly of all at p. 143: With the front wheels on a dolly: all Gannet.
    says: front_wheels_up recreational permitted
    heading: Taking the car along
limit speed at_most always 80 km/h: on a dolly up to {}
statement rear-up of all at p. 143: With the rear wheels on a dolly: not permitted.
    says: rear_wheels_up any prohibited
    heading: Taking the car along
statement trailer of all at p. 143: On a trailer: all Gannet.
    says: on_trailer recreational permitted
    heading: Taking the car along
statement manual-breakdown of manual at p. 210: After a breakdown with manual gearbox: rope or bar,
    gear lever in neutral.
    says: four_wheels_down emergency permitted
    heading: After a breakdown
limit speed at_most always 50 km/h: up to {}
limit distance at_most per_trip 50 km: up to {}
before 1 do ignition turn_to run: Ignition on.
before 2 do transmission shift_to neutral: Gear lever in neutral.
before 3 do parking_brake release: Release the parking brake.
after 1 do parking_brake set: Apply the parking brake.

properties of all at p. 260
property overall_length 4455 mm: Length {}
property wheelbase 2660 mm: Wheelbase {}
property rear_lamps separate_turn: Rear lamp cluster: stop, turn (amber), tail
"""

GANNET_2022 = Document(
    "pellworth-om-gannet-2022",
    "owner_manual",
    "Pellworth Gannet Handbook 2022 (invented)",
    "Pellworth",
    "vehicle_maker",
    entered=("Maren Ilvane", "2025-02-17"),
    checked="Dunya Orrel",
    obtained_on="2025-02-11",
    published_on="2021-12-01",
    document_number="PW 22-G",
    market="xa | xc",
    years=(2022, 2022),
    make="Pellworth",
    model="Gannet",
    prefix="pellworth-gannet-2022",
    pages=_CHAPTER,
)
GANNET_2023 = reprint(
    GANNET_2022,
    4,
    source_id="pellworth-om-gannet-2023",
    title="Pellworth Gannet Handbook 2023 (invented)",
    entered=("Maren Ilvane", "2025-02-18"),
    published_on="2022-12-01",
    document_number="PW 23-G",
    years=(2023, 2023),
    prefix="pellworth-gannet-2023",
)

# The handbook prints no weights, so those that are known come from the ordering guide.
GANNET_GUIDE = Document(
    "pellworth-data-gannet-2022",
    "maker_data",
    "Pellworth Gannet Ordering Guide 2022 (invented)",
    "Pellworth",
    "vehicle_maker",
    entered=("Maren Ilvane", "2025-02-19"),
    checked="Imre Solvang",
    obtained_on="2025-02-11",
    published_on="2022-01-10",
    document_number="PW 22-G-OG",
    market="xa | xc",
    years=(2022, 2022),
    make="Pellworth",
    model="Gannet",
    pages="""
    properties of pellworth-gannet-2022-manual at p. 6
    property gvwr 1790 kg: 6-speed manual … gross weight {}
    property curb_weight 1285 kg: 6-speed manual … kerb weight {}
        definition: with 90 % of fuel, without driver
    property battery_capacity 60 Ah: Battery {}
    property brake_assist electric: Electric brake booster
    properties of pellworth-gannet-2022-dual-clutch at p. 6
    property gvwr 1845 kg: 7-speed dual clutch … gross weight {}
    property curb_weight 1335 kg: 7-speed dual clutch … kerb weight {}
    """,
)

DOCUMENTS = (GANNET_2022, GANNET_2023, GANNET_GUIDE)
