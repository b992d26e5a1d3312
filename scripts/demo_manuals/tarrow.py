"""Tarrow Sedge: steering decides in 2018, two books disagree in 2020, a supplement for xc."""

from scripts.demo_manuals.notation import Document

SEDGE_2018 = Document(
    "tarrow-om-sedge-2018",
    "owner_manual",
    "Tarrow Sedge Owner Guide 2018 (invented)",
    "Tarrow Cars",
    "vehicle_maker",
    entered=("Imre Solvang", "2024-04-22"),
    checked="Dunya Orrel",
    obtained_on="2024-04-15",
    published_on="2017-08-01",
    document_number="TC 18 SG",
    edition="1st edition",
    market="xa",
    years=(2018, 2018),
    make="Tarrow",
    model="Sedge",
    prefix="tarrow-sedge-2018",
    pages="""
    group manual-hydraulic at p. 166: Sedge with manual transmission and hydraulic power steering
        cells: powertrain gasoline; drivetrain front_wheel_drive; transmission manual;
        transfer_case none; steering hydraulic
    group manual-electric at p. 166: Sedge with manual transmission and electric power steering
        cells: powertrain gasoline; drivetrain front_wheel_drive; transmission manual;
        transfer_case none; steering electric
    group cvt at p. 167: Sedge with CVT
        cells: powertrain gasoline; drivetrain front_wheel_drive;
        transmission continuously_variable; transfer_case none
    group all at p. 165: Sedge, all versions
        cells: powertrain gasoline; drivetrain front_wheel_drive; transmission any;
        transfer_case none

    statement manual-hydraulic of manual-hydraulic at p. 166: A manual Sedge with hydraulic steering
        can be towed behind a motorhome on its own wheels without further preparation of the
        steering.
        says: four_wheels_down recreational permitted
        heading: Taking your Sedge along
    limit speed at_most always 60 mph / 97 km/h: Limit your speed to {}.
    limit time at_most per_day 8 h: Do not tow for more than {} in one day.
    before 1 do transmission shift_to neutral: Put the gear lever in neutral.
    before 2 do ignition turn_to accessory: Turn the key to position I; leave it in the lock.
    before 3 do coupling attach: Pin the car to the bar.
    before 4 do parking_brake release: Let the hand brake off.
    after 1 do parking_brake set: Pull the hand brake.
    after 2 do coupling detach: Unpin the car.
    after 3 do ignition turn_off: Turn the key back to 0.

    statement manual-electric of manual-electric at p. 166: A manual Sedge with electric steering
        can be towed behind a motorhome on its own wheels after the steering has been made passive.
        says: four_wheels_down recreational permitted
        heading: Taking your Sedge along
    limit speed at_most always 60 mph / 97 km/h: Limit your speed to {}.
    limit time at_most per_day 8 h: Do not tow for more than {} in one day.
    limit battery_voltage at_least start_of_day 12.2 V: Each morning the battery must show {} or
        more.
    before - warning steering never: DANGER! A live electric steering can turn the front wheels by
        itself under tow. Never tow before step 3 is done.
    before 1 do transmission shift_to neutral: Put the gear lever in neutral.
    before 2 do ignition turn_to accessory: Turn the key to position I; leave it in the lock.
    before 3 do fuse pull: In the box beside the battery pull MF2 (60 A, EPS), and under the dash
        F17 (10 A, EPS-C).
        fuse: pull link MF2 60 A; panel beside the battery; circuit EPS; disables power_steering;
        restore before_driving
        fuse: pull fuse F17 10 A; panel under the dash; circuit EPS-C; disables power_steering;
        restore before_driving
    before 4 verify battery check 12.2 V: See that the battery shows {} or more.
        if_not: charge it before you leave
    before 5 do coupling attach: Pin the car to the bar.
    before 6 do parking_brake release: Let the hand brake off.
    en_route 1 verify tires check: Feel the tires at each halt. A hot one is dragging.
    after 1 do parking_brake set: Pull the hand brake.
    after 2 do coupling detach: Unpin the car.
    after 3 do fuse restore: Put MF2 and F17 back before you drive.
    after 4 verify steering check: Turn the wheel from lock to lock with the engine on.
        expect: the steering is light and the EPS lamp goes out

    statement cvt of cvt at p. 167: We do not recommend towing a Sedge with CVT on its own wheels.
        says: four_wheels_down recreational not_recommended
        heading: Taking your Sedge along
    statement cvt-breakdown of cvt at p. 240: A broken-down CVT car may be towed on its wheels only
        to clear the road.
        says: four_wheels_down emergency permitted
        heading: Breakdown
    limit speed at_most always 12 mph / 19 km/h: … at {} at the most …
    limit distance at_most per_trip 0.5 mi / 0.8 km: … for {} at the most.
    before 1 do transmission shift_to neutral: Selector to N.
    before 2 do parking_brake release: Hand brake off.
    after 1 do parking_brake set: Hand brake on.
    statement dolly of all at p. 168: Any Sedge may travel with its front wheels on a dolly.
        says: front_wheels_up recreational permitted
        heading: Taking your Sedge along
    limit speed at_most always 50 mph / 80 km/h: On a dolly: {}.
    statement rear-up of all at p. 168: Never raise the rear wheels and let the front wheels roll.
        says: rear_wheels_up any prohibited
        heading: Taking your Sedge along
    statement trailer of all at p. 168: Any Sedge may travel on a trailer.
        says: on_trailer recreational permitted
        heading: Taking your Sedge along

    properties of manual-hydraulic at p. 301
    property gvwr 3310 lb / 1501 kg: Manual, hydraulic steering … GVWR {}
    property curb_weight 2390 lb / 1084 kg: Manual, hydraulic steering … kerb weight {}
    property brake_assist vacuum: Brake servo … vacuum
    property rear_lamps separate_turn: Rear lamps … 12 V 21 W (stop), 12 V 21 W amber (turn)
    properties of manual-electric at p. 301
    property gvwr 3365 lb / 1526 kg: Manual, electric steering … GVWR {}
    property curb_weight 2440 lb / 1107 kg: Manual, electric steering … kerb weight {}
    property brake_assist vacuum: Brake servo … vacuum
    property battery_capacity 45 Ah: Electric steering … battery {}
    property key_on_draw 1.1 A: Key at I, MF2 and F17 out … {}
    properties of cvt at p. 301
    property gvwr 3450 lb / 1565 kg: CVT … GVWR {}
    property curb_weight 2515 lb / 1141 kg: CVT … kerb weight {}
    properties of all at p. 302
    property overall_length 157.5 in / 4000 mm: Length … {}
    """,
)

SEDGE_2020 = Document(
    "tarrow-om-sedge-2020",
    "owner_manual",
    "Tarrow Sedge Owner Guide 2020 (invented)",
    "Tarrow Cars",
    "vehicle_maker",
    entered=("Imre Solvang", "2024-06-10"),
    checked="Maren Ilvane",
    obtained_on="2024-06-03",
    published_on="2019-09-12",
    document_number="TC 20 SG",
    edition="1st edition",
    market="xa | xb",
    years=(2020, 2020),
    make="Tarrow",
    model="Sedge",
    prefix="tarrow-sedge-2020",
    pages="""
    group manual at p. 171: Sedge with manual transmission
        cells: powertrain gasoline; drivetrain front_wheel_drive; transmission manual;
        transfer_case none
    group cvt at p. 172: Sedge with CVT
        cells: powertrain gasoline; drivetrain front_wheel_drive;
        transmission continuously_variable; transfer_case none
    group all at p. 170: Sedge, all versions but Sedge Hybrid
        cells: powertrain gasoline; drivetrain front_wheel_drive; transmission any;
        transfer_case none

    statement manual of manual at p. 171: A Sedge with manual transmission can be towed behind a
        motorhome on its own wheels.
        says: four_wheels_down recreational permitted
        heading: Taking your Sedge along
    limit speed at_most always 60 mph / 97 km/h: Limit your speed to {}.
    limit distance at_most per_day 400 mi / 640 km: Do not cover more than {} in one day.
    before 1 do transmission shift_to neutral: Put the gear lever in neutral.
    before 2 do ignition turn_to accessory: Turn the key to position I; leave it in the lock.
    before 3 do fuse pull: Under the dash pull F17 (10 A, EPS-C) and F24 (15 A, SOCKET).
        fuse: pull fuse F17 10 A; panel under the dash; circuit EPS-C; disables power_steering;
        restore before_driving
        fuse: pull fuse F24 15 A; panel under the dash; circuit SOCKET; disables car_power_outlet;
        restore not_stated
    before 4 do coupling attach: Pin the car to the bar.
    before 5 do parking_brake release: Let the hand brake off.
    after 1 do parking_brake set: Pull the hand brake.
    after 2 do coupling detach: Unpin the car.
    after 3 do fuse restore: Put F17 back before you drive, then F24.
    statement cvt of cvt at p. 172: Ask your Tarrow dealer before you tow a Sedge with CVT on its
        own wheels.
        says: four_wheels_down recreational refer_to_maker
        heading: Taking your Sedge along
    statement dolly of all at p. 172: Any Sedge may travel with its front wheels on a dolly.
        says: front_wheels_up recreational permitted
        heading: Taking your Sedge along
    limit speed at_most always 50 mph / 80 km/h: On a dolly: {}.
    statement rear-up of all at p. 173: Never raise the rear wheels and let the front wheels roll.
        says: rear_wheels_up any prohibited
        heading: Taking your Sedge along
    statement trailer of all at p. 173: Any Sedge may travel on a trailer.
        says: on_trailer recreational permitted
        heading: Taking your Sedge along
    statement trailer-breakdown of all at p. 244: Have a broken-down Sedge fetched by a flatbed.
        says: on_trailer emergency permitted
        heading: Breakdown

    properties of manual at p. 309
    property gvwr 3390 lb / 1538 kg: Manual … GVWR {}
    property curb_weight 2470 lb / 1120 kg: Manual … kerb weight {}
    property brake_assist electric: Brake booster … electric; it works while the key is at I.
    property brake_assist_without_engine yes: Brake booster … electric; it works while the key is at
        I.
    properties of cvt at p. 309
    property gvwr 3480 lb / 1579 kg: CVT … GVWR {}
    property curb_weight 2545 lb / 1154 kg: CVT … kerb weight {}
    properties of all at p. 310
    property overall_length 158.7 in / 4031 mm: Length … {}
    property wheelbase 99.2 in / 2520 mm: Wheelbase … {}
    """,
)

# The same maker's other book of the same year says the opposite; neither says which one holds.
SEDGE_GUIDE = Document(
    "tarrow-guide-towing-2020",
    "owner_manual",
    "Tarrow Towing and Load Guide 2020, all models (invented)",
    "Tarrow Cars",
    "vehicle_maker",
    entered=("Imre Solvang", "2025-03-10"),
    checked="Dunya Orrel",
    obtained_on="2025-03-04",
    published_on="2019-11-30",
    document_number="TC 20 TOW",
    edition="2nd edition",
    market="xa",
    years=(2020, 2020),
    make="Tarrow",
    model="Sedge",
    prefix="tarrow-guide-2020",
    pages="""
    group sedge-manual at p. 9: Sedge 2020, 5-speed manual
        cells: powertrain gasoline; drivetrain front_wheel_drive; transmission manual;
        transfer_case none
    statement sedge-manual of sedge-manual at p. 9: Sedge, 5-speed manual … on its own wheels: NO.
        Use a dolly or a trailer.
        says: four_wheels_down recreational prohibited
        heading: Table 3, behind a motorhome
    statement sedge-manual-dolly of sedge-manual at p. 9: Sedge, 5-speed manual … dolly: yes
        says: front_wheels_up recreational permitted
        heading: Table 3, behind a motorhome
    limit speed at_most always 50 mph / 80 km/h: Dolly … {}
    properties of sedge-manual at p. 14
    property gvwr 3390 lb / 1538 kg: Sedge, manual … GVWR {}
    property curb_weight 2470 lb / 1120 kg: Sedge, manual … kerb weight {}
    """,
)

SEDGE_SUPPLEMENT = Document(
    "tarrow-sup-sedge-2020-xc",
    "manual_supplement",
    "Tarrow Sedge Owner Guide 2020, supplement for market XC (invented)",
    "Tarrow Cars",
    "vehicle_maker",
    entered=("Maren Ilvane", "2025-04-07"),
    checked="Imre Solvang",
    obtained_on="2025-04-02",
    published_on="2020-02-14",
    document_number="TC 20 SG-XC",
    edition="1st edition",
    market="xc",
    years=(2020, 2020),
    make="Tarrow",
    model="Sedge",
    prefix="tarrow-sedge-2020-xc",
    pages="""
    group manual at p. S-4: Sedge with manual transmission, vehicles for XC
        cells: powertrain gasoline; drivetrain front_wheel_drive; transmission manual;
        transfer_case none
    group all at p. S-3: This supplement is for vehicles sold in XC.
        cells: powertrain gasoline; drivetrain front_wheel_drive; transmission any;
        transfer_case none
    statement manual of manual at p. S-4: In XC a Sedge with manual transmission may be towed on its
        own wheels behind a motorhome, with the lamps of a towed car.
        says: four_wheels_down recreational permitted
        heading: Towing behind a motorhome in XC
    limit speed at_most always 80 km/h: Vmax {}
    limit distance at_most per_day 500 km: no more than {} a day
    limit grade at_most always 12 %: not on slopes above {}
    before 1 do transmission shift_to neutral: Gear lever to neutral.
    before 2 do ignition turn_to accessory: Key to I, do not remove it.
    before 3 do fuse pull: Pull F17 (10 A, EPS-C) and move F9 (5 A, DRL) to SP1.
        fuse: pull fuse F17 10 A; panel under the dash; circuit EPS-C; disables power_steering;
        restore before_driving
        fuse: move fuse F9 to SP1 5 A; panel under the dash; circuit DRL; disables car_tail_lamps;
        restore before_driving
    before 4 do lamps attach: Fit the lamp board of the towed car …
    before 4 verify lamps check: … and try it.
    before 5 do parking_brake release: Hand brake off.
    after 1 do parking_brake set: Hand brake on.
    after 2 do lamps detach: Take off the lamp board.
    after 3 do fuse restore: Put F17 and F9 back in their places.
    statement trailer of all at p. S-5: On a trailer: permitted in XC.
        says: on_trailer recreational permitted
        heading: Towing behind a motorhome in XC
    statement dolly of all at p. S-5: Dollies are not approved in XC.
        says: front_wheels_up any prohibited
        heading: Towing behind a motorhome in XC
    properties of manual at p. S-8
    property gvwr 1540 kg: Permitted maximum mass … {}
    property curb_weight 1125 kg: Mass in running order without driver … {}
    """,
)

SEDGE_HYBRID_2020 = Document(
    "tarrow-om-sedge-hybrid-2020",
    "owner_manual",
    "Tarrow Sedge Hybrid Owner Guide 2020 (invented)",
    "Tarrow Cars",
    "vehicle_maker",
    entered=("Maren Ilvane", "2024-06-17"),
    checked="Imre Solvang",
    obtained_on="2024-06-03",
    published_on="2019-09-12",
    document_number="TC 20 SG-H",
    edition="1st edition",
    market="xa | xb",
    years=(2020, 2020),
    make="Tarrow",
    model="Sedge Hybrid",
    prefix="tarrow-sedge-hybrid-2020",
    pages="""
    group all at p. 181: Sedge Hybrid
        cells: powertrain full_hybrid; drivetrain front_wheel_drive; transmission hybrid_transaxle;
        transfer_case none
    statement four-down of all at p. 181: Never tow the Sedge Hybrid with its front wheels on the
        road. The motor makes current whenever they turn and may catch fire.
        says: four_wheels_down any prohibited
        heading: Taking your Sedge along
    statement rear-up of all at p. 181: Never tow the Sedge Hybrid with its front wheels on the
        road.
        says: rear_wheels_up any prohibited
        heading: Taking your Sedge along
    statement dolly of all at p. 182: With its front wheels on a dolly the Sedge Hybrid may travel
        at up to 50 mph (80 km/h).
        says: front_wheels_up recreational permitted
        heading: Taking your Sedge along
    limit speed at_most always 50 mph / 80 km/h: … may travel at up to {}.
    statement trailer of all at p. 182: The Sedge Hybrid may travel on a trailer, switched off.
        says: on_trailer recreational permitted
        heading: Taking your Sedge along
    properties of all at p. 318
    property gvwr 3790 lb / 1719 kg: GVWR {}
    property curb_weight 2860 lb / 1297 kg: Kerb weight {}
    property overall_length 158.7 in / 4031 mm: Length … {}
    property brake_assist hydraulic: Brakes … hydraulic booster with pressure store
    """,
)

DOCUMENTS = (SEDGE_2018, SEDGE_2020, SEDGE_GUIDE, SEDGE_SUPPLEMENT, SEDGE_HYBRID_2020)
