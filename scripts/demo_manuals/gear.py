"""Tow gear, one part of every kind and a few that compete, from its makers' manuals."""

from scripts.demo_manuals.notation import Document

TETHRA_MANUAL = Document(
    "tethra-manual-2024",
    "part_manual",
    "Tethra Gear: Installation and Owner's Manual, all parts, 2024 (invented)",
    "Tethra Gear",
    "part_maker",
    entered=("Maren Ilvane", "2024-12-09"),
    checked="Dunya Orrel",
    obtained_on="2024-12-03",
    published_on="2024-01-15",
    document_number="TG-0124",
    pages="""
    equipment tethra-bar-8 at p. 4: Crossfall 8 tow bar
        cells: kind tow_bar; name Crossfall 8 tow bar; maker Tethra Gear; model Crossfall 8
    equipment tethra-plate-pika at p. 21: Base plate 311, Quillon Pika
        cells: kind base_plate; name Base plate 311 for the Pika; maker Tethra Gear; model 311
    equipment tethra-plate-wicket at p. 22: Base plate 340, Halvern Wicket
        cells: kind base_plate; name Base plate 340 for the Wicket; maker Tethra Gear; model 340
    equipment tethra-plate-lowan at p. 23: Base plate 352, Bessarin Lowan
        cells: kind base_plate; name Base plate 352 for the Lowan; maker Tethra Gear; model 352
    equipment tethra-drop-4 at p. 12: Drop receiver, 4 in
        cells: kind receiver_adapter; name Drop receiver, 4 in; maker Tethra Gear; model DR-4
    equipment tethra-pin-58 at p. 14: Hitch pin, 5/8 in, locking
        cells: kind hitch_pin; name Locking hitch pin, 5/8 in; maker Tethra Gear; model LP-58
    equipment tethra-cables-10 at p. 15: Safety cables, one pair, coiled
        cells: kind safety_cables; name Coiled safety cables, a pair; maker Tethra Gear; model SC-10
    equipment tethra-diodes at p. 30: Diode lighting kit
        cells: kind lighting; name Diode lighting kit; maker Tethra Gear; model DK-2
    equipment tethra-cord-7-6 at p. 33: Power cord, 7 blade to 6 pin
        cells: kind umbilical; name Power cord, seven to six; maker Tethra Gear; model PC-76
    equipment tethra-battery-switch at p. 36: Battery disconnect with remote button
        cells: kind battery_switch; name Battery disconnect; maker Tethra Gear; model BD-1
    equipment tethra-fuse-switch at p. 38: Fuse switch, dash mounted
        cells: kind fuse_switch; name Fuse switch; maker Tethra Gear; model FS-15
    equipment tethra-charge at p. 40: Charge line, 15 A
        cells: kind charge_line; name Charge line; maker Tethra Gear; model CL-15

    properties of equipment tethra-bar-8 at p. 5
    property rated_weight 8000 lb / 3629 kg: Rated to tow {} gross
    property own_weight 42 lb: Shipping weight aside, the bar weighs {}.
    property own_weight_on coach: The bar stays on the motorhome.
    property coach_side receiver_2_in: 2 in shank
    property car_side tethra_fork: ends in Tethra forks
    property length_min 58 in: Arms in … {}
    property length_max 71 in: Arms out … {}
    property level_tolerance 3 in: Keep the bar within {} of level.
    properties of equipment tethra-plate-pika at p. 21
    property coach_side tethra_fork: takes Tethra forks
    property rated_weight 6000 lb: Plate 311 … {}
    property strength 18000 lb: Tested to a breaking load of {}
        cells: strength_basis breaking; per set
    properties of equipment tethra-plate-wicket at p. 22
    property coach_side tethra_fork: takes Tethra forks
    property rated_weight 4000 lb: Plate 340 … {}
    properties of equipment tethra-plate-lowan at p. 23
    property coach_side tethra_fork: takes Tethra forks
    property rated_weight 5000 lb: Plate 352 … {}
    properties of equipment tethra-drop-4 at p. 12
    property coach_side receiver_2_in: for 2 in receivers
    property car_side receiver_2_in: with a 2 in opening
    property drop_min 4 in: Drop {}, or turned over a rise of 4 in
    property drop_max 4 in: Drop {}, or turned over a rise of 4 in
    property rated_weight 8000 lb: Rated {}
    property derates_receiver_to 67 %: Use no more than {} of the receiver's rating behind this
        part.
    property stackable no: Never put one adapter into another.
    property vertical_rating 400 lb: Tongue {}
    properties of equipment tethra-pin-58 at p. 14
    property strength 36000 lb: Shear strength … {} at break
        cells: strength_basis breaking; per each
    properties of equipment tethra-cables-10 at p. 15
    property strength 10000 lb: Rated for {} gross towed weight, the pair
        cells: strength_basis towed_gross; per pair
    property length_max 80 in: Stretch to {}
        cells: per each
    properties of equipment tethra-diodes at p. 31
    property suits_rear_lamps combined_turn: For cars whose stop and turn share a lamp
    property suits_rear_lamps separate_turn: … and, with the third diode, for cars with amber turn
        lamps
    property car_side six_pin: Ends in a 6-pin socket at the bumper
    properties of equipment tethra-cord-7-6 at p. 33
    property coach_side seven_pin: 7 blade plug for the motorhome
    property car_side six_pin: 6-pin plug for the car
    property length_max 8 ft: Cord {}
    properties of equipment tethra-battery-switch at p. 36
    property draw_standing 20 mA: The relay draws {} while open.
    properties of equipment tethra-fuse-switch at p. 38
    property needs car_battery: The car's battery stays connected.
    properties of equipment tethra-charge at p. 40
    property charge_current 15 A: Charges with up to {}
    property needs coach_stop_signal: The charge rests while the motorhome brakes; connect the stop
        signal.

    fit tethra-plate-pika-2021 at p. 21: Pika 2019 to 2022, all … tow point 15.5 in above the ground
        … the lower grille is removed
        cells: equipment_id tethra-plate-pika; vehicle_group_id quillon-pika-2021-all; fits yes;
        tow_point_height 15.5; unit in; note the lower grille is removed for the installation
    fit tethra-plate-pika-2022 at p. 21: Pika 2019 to 2022, all … tow point 15.5 in above the ground
        … the lower grille is removed
        cells: equipment_id tethra-plate-pika; vehicle_group_id quillon-pika-2022-all; fits yes;
        tow_point_height 15.5; unit in; note the lower grille is removed for the installation
    fit tethra-plate-wicket-2019 at p. 22: Wicket 2018 and 2019 … 13 in … bumper trimmed below the
        plate
        cells: equipment_id tethra-plate-wicket; vehicle_group_id halvern-wicket-2019-all; fits yes;
        tow_point_height 13; unit in; note the bumper is trimmed
    fit tethra-plate-wicket-2021 at p. 22: Not for Wicket 2021: the radiator sits lower.
        cells: equipment_id tethra-plate-wicket; vehicle_group_id halvern-wicket-2021-all; fits no
    fit tethra-plate-lowan-2020 at p. 23: Lowan 2020 and 2021 … tow point 14.25 in … air dam cut
        cells: equipment_id tethra-plate-lowan; vehicle_group_id bessarin-lowan-2020-all; fits yes;
        tow_point_height 14.25; unit in; note the air dam is cut
    fit tethra-plate-lowan-2021 at p. 23: Lowan 2020 and 2021 … tow point 14.25 in … air dam cut
        cells: equipment_id tethra-plate-lowan; vehicle_group_id bessarin-lowan-2021-all; fits yes;
        tow_point_height 14.25; unit in; note the air dam is cut
    """,
)

OMBREL_MANUAL = Document(
    "ombrel-manual-brakes",
    "part_manual",
    "Ombrel Works: Bars and Brakes for Towed Cars (invented)",
    "Ombrel Works",
    "part_maker",
    entered=("Imre Solvang", "2025-01-27"),
    checked="Maren Ilvane",
    obtained_on="2025-01-22",
    published_on="2023-05-01",
    document_number="OW-77",
    pages="""
    equipment ombrel-bar-5 at p. 3: Light bar LB-5
        cells: kind tow_bar; name Light bar; maker Ombrel Works; model LB-5
    equipment ombrel-plate-sedge at p. 7: Plate 18 for the Tarrow Sedge
        cells: kind base_plate; name Plate 18 for the Sedge; maker Ombrel Works; model 18
    equipment ombrel-footman at p. 10: Footman, portable brake
        cells: kind supplemental_brake; name Footman portable brake; maker Ombrel Works; model F-1
    equipment ombrel-lineman at p. 16: Lineman, built-in brake
        cells: kind supplemental_brake; name Lineman built-in brake; maker Ombrel Works; model L-2
    equipment ombrel-breakaway at p. 20: Breakaway switch for Lineman
        cells: kind breakaway; name Breakaway switch; maker Ombrel Works; model BS-2
    equipment ombrel-air-line at p. 21: Air line with couplings
        cells: kind air_supply; name Air line; maker Ombrel Works; model AL-1
    equipment ombrel-shaft-lock at p. 25: Driveshaft coupling, hand operated
        cells: kind driveline_disconnect; name Driveshaft coupling; maker Ombrel Works; model DC-4
    properties of equipment ombrel-bar-5 at p. 3
    property rated_weight 2268 kg / 5000 lb: Towed weight up to {}
    property own_weight 14.5 kg: Weight {}
    property own_weight_on car: The bar stays on the car.
    property coach_side receiver_2_in: 50 mm (2 in) shank
    property car_side ombrel_eye: Ombrel eyes at both arms
    property max_speed 110 km/h: Not above {}
    properties of equipment ombrel-plate-sedge at p. 7
    property coach_side ombrel_eye: for Ombrel eyes
    property strength 2000 kg: Working load {}, the set
        cells: strength_basis working_load; per set
    properties of equipment ombrel-footman at p. 10
    property brake_type held_pedal: Footman presses the brake pedal.
    property needs car_power_outlet: Plug it into the outlet of the car.
    property needs brake_assist_vented: Press the pedal five times first, so that the booster is
        empty.
    property needs pedal_free: Nothing else may hold the pedal.
    property suits_brake_assist vacuum: For cars with a vacuum booster
    property includes breakaway: A breakaway switch is in the box.
    property draw_standing 0.3 A: Standing by: {}
    property draw_braking 9 A: Braking: {}
    property own_weight 16 lb: {}
    property own_weight_on car: It sits on the floor of the car.
    properties of equipment ombrel-lineman at p. 16
    property brake_type car_brake_line: Lineman raises the pressure in the car's own brake lines.
    property needs coach_air: An air line from the motorhome feeds it.
    property needs car_stop_lamps: The stop lamp circuit of the car must be alive.
    property suits_coach_brakes air: For motorhomes with air brakes …
    property suits_coach_brakes air_over_hydraulic: … or air over hydraulic
    property suits_brake_assist vacuum: Boosters: vacuum …
    property suits_brake_assist hydraulic: … or hydraulic
    properties of equipment ombrel-breakaway at p. 20
    property hold_time 20 min: Holds the brakes for at least {}.
    properties of equipment ombrel-shaft-lock at p. 25
    property max_speed 65 mph / 105 km/h: Tow at up to {} with the coupling open.
    fit ombrel-plate-sedge-2020 at p. 7: Sedge 2018 to 2020, manual or CVT … eye 390 mm above the
        ground
        cells: equipment_id ombrel-plate-sedge; vehicle_group_id tarrow-sedge-2020-all; fits yes;
        tow_point_height 390; unit mm
    fit ombrel-plate-sedge-hybrid at p. 7: Not for the Sedge Hybrid.
        cells: equipment_id ombrel-plate-sedge; vehicle_group_id tarrow-sedge-hybrid-2020-all;
        fits no
    fit ombrel-shaft-lock-hollin at p. 25: DC-4 … Hollin 2019, 2020, 2WD
        cells: equipment_id ombrel-shaft-lock; vehicle_group_id vantrel-hollin-2020-two-wheel;
        fits yes; note the driveshaft is shortened by a workshop
    """,
)

OMBREL_PLATE = Document(
    "ombrel-plate-bar-5",
    "rating_plate",
    "Plate on an Ombrel light bar LB-5 (invented)",
    "Ombrel Works",
    "part_maker",
    entered=("Imre Solvang", "2025-09-15"),
    checked="Dunya Orrel",
    obtained_on="2025-09-12",
    file_name="ombrel-lb5-plate.jpg",
    pages="""
    properties of equipment ombrel-bar-5 at plate on the left arm
    property rated_weight 5000 lb: MAX TOWED {}
    property length_max 1650 mm: L {}
    """,
)

DOCUMENTS = (TETHRA_MANUAL, OMBREL_MANUAL, OMBREL_PLATE)
