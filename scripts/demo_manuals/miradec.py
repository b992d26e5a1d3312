"""Miradec Tussock: a tow mode set on a screen, an option that brings it, and a serial number."""

from dataclasses import replace

from scripts.demo_manuals.notation import Document, reprint

_CHAPTER = """
group all at p. 230: Tussock
    cells: powertrain gasoline | mild_hybrid; drivetrain any; transmission planetary_automatic;
    transfer_case any
group tow-mode at p. 232: Tussock with the Tow Mode package
    cells: powertrain gasoline | mild_hybrid; drivetrain full_time_four_wheel_drive;
    transmission planetary_automatic; transfer_case two_speed_with_neutral;
    options_with Tow Mode package
group no-tow-mode at p. 232: Tussock without the Tow Mode package
    cells: powertrain gasoline | mild_hybrid; drivetrain any; transmission planetary_automatic;
    transfer_case any; options_without Tow Mode package

statement tow-mode of tow-mode at p. 232: With the Tow Mode package the Tussock can be towed behind
    a motorhome with four wheels on the ground. Tow Mode must be switched on from the screen.
    says: four_wheels_down recreational permitted
    heading: Tow Mode
limit speed at_most always posted_limit: Keep to the posted speed limit.
limit distance at_most per_trip unlimited: Distance is not limited.
limit time at_most between_engine_runs 6 h: After {} of towing …
limit engine_run at_least between_engine_runs 10 min: … run the engine for {}, or the battery will
    be flat.
once 1 do electronic_mode open: At the dealer, have Tow Mode unlocked with the code on the key tag.
once 2 do harness attach: Have the charge line socket fitted behind the grille.
before - warning vehicle never: CAUTION! Tow Mode cannot be switched on while a door is open. Do not
    try to shift the transfer case by hand.
before 3 do vehicle stop: Stop on firm, level ground.
before 4 do parking_brake set: Pull the parking brake switch.
before 5 do shifter shift_to neutral: Press N on the selector.
before 6 do electronic_mode select tow_mode 10 s: On the screen choose Vehicle, Transfer case, Tow
    Mode, and hold OK for {}.
    expect: the screen shows TOW MODE ON and the N lamp blinks, then stays lit
    if_not: choose OFF, drive 100 m and begin again at step 3
before 7 do shifter shift_to park: Press P. The truck no longer rolls with P alone.
before 8 do coupling attach: Connect the tow bar.
before 9 do battery disconnect negative_terminal: Disconnect the negative cable within 60 s, while
    the lamp is lit.
page p. 233
before 10 do fuse pull: Under the rear seat pull F51 (15 A, GATEWAY), F52 (5 A, ALARM) and F60 (20
    A, DOOR).
    fuse: pull fuse F51 15 A; panel under the rear seat; circuit GATEWAY; disables telematics;
    restore before_engine_start
    fuse: pull fuse F52 5 A; panel under the rear seat; circuit ALARM; restore before_engine_start
    fuse: pull fuse F60 20 A; panel under the rear seat; circuit DOOR; disables door_locks;
    restore before_engine_start
before 11 do parking_brake release: Release the parking brake by its emergency cable beside the
    seat.
    only_when: with the battery disconnected
before 12 verify vehicle check: Roll the truck a hand's breadth; nothing may drag.
en_route 1 do vehicle stop: After 6 h: stop …
en_route 1 do fuse restore: … put the fuses back …
en_route 1 do battery reconnect negative_terminal: … reconnect the battery …
en_route 1 do engine run 10 min: … and run the engine for {} …
en_route 1 do battery disconnect negative_terminal: … then do steps 9 and 10 again.
en_route 1 do fuse pull: … then do steps 9 and 10 again.
en_route 2 never electronic_mode never: Do not open the doors during a tow; the truck may leave Tow
    Mode.
after 1 do wheel_chocks set: Chock the wheels.
after 2 do coupling detach: Disconnect the tow bar.
after 3 do fuse restore: Put the fuses back …
after 3 do battery reconnect negative_terminal: … and reconnect the battery.
after 4 do electronic_mode select off: Start the engine, press the brake pedal and choose Tow Mode,
    OFF.
    expect: the N lamp goes out
after 5 wait display wait 30 s: Wait {} before you shift out of P.

statement no-tow-mode of no-tow-mode at p. 232: Without the Tow Mode package the Tussock must be
    carried on a trailer. Do not tow it on its wheels.
    says: four_wheels_down recreational prohibited
    heading: Tow Mode
statement front-up of all at p. 234: Do not use a dolly with a Tussock, front or rear.
    says: front_wheels_up any prohibited
    heading: Dollies
statement rear-up of all at p. 234: Do not use a dolly with a Tussock, front or rear.
    says: rear_wheels_up any prohibited
    heading: Dollies
statement trailer of all at p. 234: The Tussock may be carried on a trailer, suspension lowered.
    says: on_trailer recreational permitted
    heading: Trailers
statement trailer-recovery of all at p. 301: For recovery use a flatbed only.
    says: on_trailer emergency permitted
    heading: Recovery
statement no-tow-mode-recovery of no-tow-mode at p. 301: For recovery use a flatbed only, never with
    wheels on the ground.
    says: four_wheels_down emergency prohibited
    heading: Recovery

properties of all at p. 350
property overall_length 189.8 in / 4821 mm: Length … {}
property wheelbase 112.2 in / 2850 mm: Wheelbase … {}
property lamp_type led: Rear lamps … LED
property rear_lamps separate_turn: Rear lamps … turn signal apart from stop lamp
property battery_capacity 80 Ah: Battery … {} AGM
properties of tow-mode at p. 351
property gvwr 5950 lb / 2699 kg: Tow Mode package … GVWR {}
property curb_weight 4655 lb / 2111 kg: Tow Mode package … curb weight {}
property brake_assist electric: Brake booster … electric, with the ignition on or off
property brake_assist_without_engine yes: Brake booster … electric, with the ignition on or off
property steering_lock no: The steering column has no lock.
property key_on_draw 2.4 A: Draw in Tow Mode, battery connected … {}
properties of no-tow-mode at p. 351
property gvwr 5850 lb / 2654 kg: Other … GVWR {}
property curb_weight 4510 lb / 2046 kg: Other … curb weight {}
"""

# Only in 2021: the serial number stands on a plate that no column of a group can hold.
_SERIAL = """
group first-series at p. 235: Tow Mode package, serial numbers below 104233
    cells: powertrain gasoline | mild_hybrid; drivetrain full_time_four_wheel_drive;
    transmission planetary_automatic; transfer_case two_speed_with_neutral;
    options_with Tow Mode package; further_condition serial number below 104233, on the plate behind
    the windshield
statement first-series of first-series at p. 235: With serial numbers below 104233 ask Miradec for
    the date of the Tow Mode software before you tow.
    says: four_wheels_down recreational refer_to_maker
    heading: Tow Mode
    overrides: tow-mode
"""

TUSSOCK_2021 = Document(
    "miradec-om-tussock-2021",
    "owner_manual",
    "Miradec Tussock User Manual 2021 (invented)",
    "Miradec",
    "vehicle_maker",
    entered=("Dunya Orrel", "2024-10-07"),
    checked="Imre Solvang",
    obtained_on="2024-10-01",
    published_on="2020-11-02",
    document_number="MI-TU-2021-EN",
    edition="rev. B",
    market="xa | xb",
    years=(2021, 2021),
    make="Miradec",
    model="Tussock",
    prefix="miradec-tussock-2021",
    pages=_CHAPTER + _SERIAL,
)
TUSSOCK_2022 = reprint(
    replace(TUSSOCK_2021, pages=_CHAPTER),
    12,
    source_id="miradec-om-tussock-2022",
    title="Miradec Tussock User Manual 2022 (invented)",
    entered=("Dunya Orrel", "2024-10-14"),
    published_on="2021-11-08",
    document_number="MI-TU-2022-EN",
    edition="rev. A",
    years=(2022, 2022),
    prefix="miradec-tussock-2022",
)
TUSSOCK_LABEL = Document(
    "miradec-label-tussock-2022-fell",
    "certification_label",
    "Certification label, Tussock 2022 Fell, left B pillar (invented)",
    "Miradec",
    "vehicle_maker",
    entered=("Dunya Orrel", "2025-06-16"),
    checked="Maren Ilvane",
    obtained_on="2025-06-12",
    file_name="tussock-2022-fell-pillar.jpg",
    market="xa",
    years=(2022, 2022),
    make="Miradec",
    model="Tussock",
    prefix="miradec-tussock-2022-label",
    pages="""
    group fell at left B pillar: TUSSOCK FELL 2.5T MHEV AT8 4X4
        cells: trim Fell; engine 2.5 L turbo; powertrain mild_hybrid;
        drivetrain full_time_four_wheel_drive; transmission planetary_automatic;
        transfer_case two_speed_with_neutral; otherwise -
    properties of fell at left B pillar
    property gvwr 2722 kg / 6000 lb: GVWR {}
    property gawr_front 1330 kg / 2932 lb: GAWR FR {}
    property gawr_rear 1500 kg / 3307 lb: GAWR RR {}
    """,
)

DOCUMENTS = (TUSSOCK_2021, TUSSOCK_2022, TUSSOCK_LABEL)
