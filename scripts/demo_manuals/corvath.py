"""Corvath Dapple: a van that is towed on its wheels in an emergency only."""

from scripts.demo_manuals.notation import Document, reprint

_CHAPTER = """
group all at p. 260: Dapple, Dapple with hybrid drive
    cells: powertrain gasoline | full_hybrid; drivetrain front_wheel_drive; transmission any;
    transfer_case none
group gasoline at p. 261: Dapple with gasoline engine and 8-speed automatic
    cells: powertrain gasoline; drivetrain front_wheel_drive; transmission planetary_automatic;
    transfer_case none
group hybrid at p. 262: Dapple with hybrid drive
    cells: powertrain full_hybrid; drivetrain front_wheel_drive; transmission hybrid_transaxle;
    transfer_case none

statement gasoline of gasoline at p. 261: Corvath does not recommend towing the Dapple behind a
    motorhome with the front wheels on the road.
    says: four_wheels_down recreational not_recommended
    heading: Towing behind a motorhome
statement hybrid of hybrid at p. 262: Never tow a Dapple with hybrid drive with the front wheels on
    the road, for whatever reason.
    says: four_wheels_down any prohibited
    heading: Towing behind a motorhome
statement gasoline-dolly of gasoline at p. 261: Use a dolly for the front wheels. The parking brake
    must be released.
    says: front_wheels_up recreational permitted
    heading: Towing behind a motorhome
limit speed at_most always 45 mph / 72 km/h: Not faster than {} on a dolly.
limit distance at_most per_trip 500 mi / 800 km: Not farther than {} on one trip.
before 1 do parking_brake release: Release the parking brake.
before 2 do load remove: Take the third-row seats out, or the rear axle may be overloaded.
statement hybrid-dolly of hybrid at p. 262: A Dapple with hybrid drive may be moved on a dolly only
    to a workshop.
    says: front_wheels_up emergency permitted
    heading: In an emergency
statement rear-up of all at p. 262: Do not lift the rear wheels of any Dapple.
    says: rear_wheels_up any prohibited
    heading: Towing behind a motorhome
statement trailer of all at p. 262: A trailer may be used for every Dapple.
    says: on_trailer recreational permitted
    heading: Towing behind a motorhome
statement gasoline-emergency of gasoline at p. 335: Only in an emergency the Dapple with gasoline
    engine may be towed with all wheels on the road.
    says: four_wheels_down emergency permitted
    heading: In an emergency
limit speed at_most always 35 mph / 56 km/h: … no faster than {} …
limit distance at_most per_trip 50 mi / 80 km: … no farther than {} …
limit ambient_temperature at_most always 104 degF / 40 degC: … and not above {}.
before - warning steering never: The steering is heavy with the engine stopped. Do not remove the
    key.
before 1 do ignition turn_to run: Turn the key to ON.
before 2 do shifter shift_to neutral: Shift to N.
    if_not: press the button below the cap beside the selector and shift again
before 3 do parking_brake release: Release the parking brake.
before 4 do lamps turn_to on: Switch the hazard lamps on.
en_route 1 do brake_pedal press: The helper at the wheel keeps the rope taut with the brake.
after 1 do parking_brake set: Set the parking brake.
after 2 do lamps turn_off: Switch the hazard lamps off.

properties of all at p. 402
property overall_length 203.1 in / 5159 mm: Overall length … {}
property wheelbase 119.5 in / 3035 mm: Wheelbase … {}
property rear_lamps combined_turn: Stop and turn in one lamp (red)
properties of gasoline at p. 403
property gvwr 5970 lb / 2708 kg: Gasoline … GVWR {}
    definition: rated for 7 seats
property curb_weight 4370 lb / 1982 kg: Gasoline … curb weight {}
properties of hybrid at p. 403
property gvwr 6130 lb / 2781 kg: Hybrid … GVWR {}
    definition: rated for 7 seats
property curb_weight 4535 lb / 2057 kg: Hybrid … curb weight {}
"""

DAPPLE_2019 = Document(
    "corvath-om-dapple-2019",
    "owner_manual",
    "Corvath Dapple Owner's Manual 2019 (invented)",
    "Corvath",
    "vehicle_maker",
    entered=("Maren Ilvane", "2024-11-11"),
    checked="Imre Solvang",
    obtained_on="2024-11-06",
    published_on="2018-07-16",
    document_number="CV19DAP0C1",
    edition="first printing",
    market="xa",
    years=(2019, 2019),
    make="Corvath",
    model="Dapple",
    prefix="corvath-dapple-2019",
    pages=_CHAPTER,
)
DAPPLE_2020 = reprint(
    DAPPLE_2019,
    5,
    source_id="corvath-om-dapple-2020",
    title="Corvath Dapple Owner's Manual 2020 (invented)",
    entered=("Maren Ilvane", "2024-11-12"),
    published_on="2019-07-15",
    document_number="CV20DAP0C1",
    years=(2020, 2020),
    prefix="corvath-dapple-2020",
)

DOCUMENTS = (DAPPLE_2019, DAPPLE_2020)
