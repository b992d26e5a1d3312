"""Four coaches: what their labels and plates say, and what the scales said."""

from scripts.demo_manuals.notation import Document

_BRACKWATER = """
coach brackwater-38 at p. 1: Brackwater 38, model year 2016
    cells: name Brackwater 38, the Orrels' coach; model_year 2016;
    note diesel pusher with air brakes, tows most weeks
properties of coach brackwater-38 at p. 44
property towing_capacity none_stated: Tow ratings … see the plate on your receiver and your chassis
    guide
property wheelbase 252 in: Wheelbase {}
property overall_length 38.6 ft: Overall length {}
property brake_system air: Service brakes … full air
property engine_brake_lights_stop_lamps yes: The stop lamps light while the engine brake is on.
property rear_lamps combined_turn: Rear lamps … stop and turn combined, red
property socket seven_pin: Trailer socket … 7 blade
property system_voltage 12 V: House and chassis lamps … {}
"""
_SALTMARSH = """
coach saltmarsh-31 at p. 3: Saltmarsh 31 Motor Home, 2019
    cells: name Saltmarsh 31; model_year 2019; note gasoline chassis, its receiver plate promises
    more than the chassis allows
properties of coach saltmarsh-31 at p. 61
property towing_capacity 5000 lb: Do not tow more than {}, nor more than the combination rating
    leaves.
property unbraked_towed_max 1500 lb / 680 kg: Anything towed above {} must have brakes of its own.
property brake_system hydraulic: Four-wheel hydraulic disc brakes
property rear_lamps combined_turn: Rear: red stop and turn lamps
property engine_brake_lights_stop_lamps no: Tow/haul mode … does not light the stop lamps
property socket seven_pin: 7-way socket beside the receiver
property system_voltage 12 V: Electrical system {}
property rear_overhang 126 in: Rear axle to receiver … {}
"""

DOCUMENTS = (
    Document(
        "brackwater-om-38-2016",
        "owner_manual",
        "Brackwater 38 Owner's Guide 2016 (invented)",
        "Brackwater Coachworks",
        "coach_maker",
        entered=("Imre Solvang", "2024-03-25"),
        checked="Dunya Orrel",
        obtained_on="2024-03-19",
        published_on="2015-11-01",
        document_number="BCW-38-16",
        market="xa",
        years=(2016, 2016),
        pages=_BRACKWATER,
    ),
    Document(
        "brackwater-label-38",
        "certification_label",
        "Certification label, Brackwater 38, left of the driver (invented)",
        "Brackwater Coachworks",
        "coach_maker",
        entered=("Imre Solvang", "2024-03-26"),
        checked="Dunya Orrel",
        obtained_on="2024-03-19",
        file_name="brackwater-38-label.jpg",
        pages="""
        properties of coach brackwater-38 at certification label
        property gvwr 33000 lb / 14969 kg: GVWR {}
        property gcwr 43000 lb / 19504 kg: GCWR {}
        property gawr_front 13200 lb / 5987 kg: GAWR FRONT {}
        property gawr_rear 19800 lb / 8981 kg: GAWR REAR {}
        """,
    ),
    Document(
        "brackwater-plate-38",
        "rating_plate",
        "Receiver plate, Brackwater 38 (invented)",
        "Ombrel Works",
        "part_maker",
        entered=("Imre Solvang", "2024-03-26"),
        checked="Dunya Orrel",
        obtained_on="2024-03-19",
        file_name="brackwater-38-receiver.jpg",
        pages="""
        properties of coach brackwater-38 at receiver plate
        property hitch_receiver 10000 lb: WEIGHT CARRYING (WC) MAX {}
        property hitch_receiver_weight_distributing 15000 lb: WEIGHT DISTRIBUTING (WD) MAX {}
        property hitch_vertical 1000 lb: TONGUE WC {}
        property receiver_size receiver_2_5_in: 2-1/2 IN RECEIVER
        """,
    ),
    Document(
        "shop-ticket-brackwater-38",
        "scale_ticket",
        "Scale ticket 3120, Brackwater 38, loaded to travel (invented)",
        "Solvang and Orrel, Fitters",
        "shop",
        entered=("Dunya Orrel", "2024-04-02"),
        checked="Imre Solvang",
        obtained_on="2024-03-30",
        file_name="ticket-3120.jpg",
        basis="measured",
        pages="""
        properties of coach brackwater-38 at ticket 3120
        property loaded_weight 31480 lb: GROSS {}
            definition: two people, dog, full water and fuel, as it leaves for the south
        property axle_front_loaded 12160 lb: STEER AXLE {}
        property axle_rear_loaded 19320 lb: DRIVE AXLE {}
        property receiver_height 19.5 in: RECEIVER CENTER {} … ON THE PAD, AIR UP
        """,
    ),
    Document(
        "saltmarsh-om-31-2019",
        "owner_manual",
        "Saltmarsh 31 Owner's Manual 2019 (invented)",
        "Saltmarsh Leisure Vehicles",
        "coach_maker",
        entered=("Maren Ilvane", "2024-06-24"),
        checked="Imre Solvang",
        obtained_on="2024-06-20",
        published_on="2018-12-10",
        document_number="SLV 31-19",
        market="xa",
        years=(2019, 2019),
        pages=_SALTMARSH,
    ),
    Document(
        "saltmarsh-label-31",
        "certification_label",
        "Certification label, Saltmarsh 31, driver's door (invented)",
        "Saltmarsh Leisure Vehicles",
        "coach_maker",
        entered=("Maren Ilvane", "2024-06-24"),
        checked="Imre Solvang",
        obtained_on="2024-06-20",
        file_name="saltmarsh-31-label.jpg",
        pages="""
        properties of coach saltmarsh-31 at certification label
        property gvwr 22000 lb / 9979 kg: GVWR {}
        property gcwr 26000 lb / 11793 kg: GCWR {}
        property gawr_front 8000 lb / 3629 kg: GAWR FR {}
        property gawr_rear 15000 lb / 6804 kg: GAWR RR {}
        property unloaded_weight 18410 lb: UVW {}
        """,
    ),
    Document(
        "saltmarsh-plate-31",
        "rating_plate",
        "Receiver plate, Saltmarsh 31 (invented)",
        "Saltmarsh Leisure Vehicles",
        "coach_maker",
        entered=("Maren Ilvane", "2024-06-24"),
        checked="Imre Solvang",
        obtained_on="2024-06-20",
        file_name="saltmarsh-31-receiver.jpg",
        pages="""
        properties of coach saltmarsh-31 at receiver plate
        property hitch_receiver 5000 lb / 2268 kg: MAX GROSS TRAILER WEIGHT, WEIGHT CARRYING: {}
        property hitch_vertical 500 lb / 227 kg: MAX TONGUE WEIGHT: {}
        property receiver_size receiver_2_in: 2 IN SQ
        """,
    ),
    Document(
        "shop-ticket-saltmarsh-31",
        "scale_ticket",
        "Scale ticket 3388, Saltmarsh 31, loaded to travel (invented)",
        "Solvang and Orrel, Fitters",
        "shop",
        entered=("Maren Ilvane", "2024-07-01"),
        checked="Dunya Orrel",
        obtained_on="2024-06-28",
        file_name="ticket-3388.jpg",
        basis="measured",
        pages="""
        properties of coach saltmarsh-31 at ticket 3388
        property loaded_weight 21580 lb: GROSS {}
        property axle_front_loaded 7460 lb: STEER {}
        property axle_rear_loaded 14120 lb: DRIVE {}
        property receiver_height 17.25 in: HITCH HT {}
        """,
    ),
    Document(
        "ferrow-plate-26",
        "rating_plate",
        "Receiver plate, Ferrow 26, half painted over (invented)",
        "Ferrow Campers",
        "coach_maker",
        entered=("Dunya Orrel", "2025-03-31"),
        checked="Maren Ilvane",
        obtained_on="2025-03-28",
        file_name="ferrow-26-receiver.jpg",
        pages="""
        coach ferrow-26 at receiver plate: FERROW 26
            cells: name Ferrow 26; model_year 2012; note bought second hand without papers
        properties of coach ferrow-26 at receiver plate
        property hitch_receiver_mode_not_printed 3500 lb: CAPACITY {}
        property receiver_size receiver_2_in: 2"
        """,
    ),
    Document(
        "ferrow-label-26",
        "certification_label",
        "Certification label, Ferrow 26, behind the driver's seat (invented)",
        "Ferrow Campers",
        "coach_maker",
        entered=("Dunya Orrel", "2025-03-31"),
        checked="Maren Ilvane",
        obtained_on="2025-03-28",
        file_name="ferrow-26-label.jpg",
        pages="""
        properties of coach ferrow-26 at certification label
        property gvwr 14500 lb / 6577 kg: GVWR {}
        property gcwr 20000 lb / 9072 kg: GCWR {}
        property gawr_front 5000 lb / 2268 kg: GAWR FRONT {}
        property gawr_rear 9600 lb / 4354 kg: GAWR REAR {}
        """,
    ),
    Document(
        "shop-ticket-ferrow-26",
        "scale_ticket",
        "Scale ticket 4302, Ferrow 26, driver alone (invented)",
        "Solvang and Orrel, Fitters",
        "shop",
        entered=("Dunya Orrel", "2025-04-01"),
        checked="Imre Solvang",
        obtained_on="2025-03-28",
        file_name="ticket-4302.jpg",
        basis="measured",
        pages="""
        properties of coach ferrow-26 at ticket 4302
        property part_loaded_weight 12640 lb: GROSS {} … DRIVER ONLY, TANKS EMPTY
        property still_to_add 980 lb: TO COME: SECOND PERSON, BIKES, WATER 60 GAL … {}
        """,
    ),
    Document(
        "nordhal-om-700-2021",
        "owner_manual",
        "Nordhal 700 Instruction Book 2021 (invented)",
        "Nordhal Husvagn",
        "coach_maker",
        entered=("Maren Ilvane", "2025-06-30"),
        checked="Dunya Orrel",
        obtained_on="2025-06-25",
        published_on="2021-02-01",
        document_number="NH 700-21",
        market="xb",
        years=(2020, 2021),
        pages="""
        coach nordhal-700 at p. 2: Nordhal 700, 2021
            cells: name Nordhal 700; model_year 2021; note for market XB, all figures in kilograms
        properties of coach nordhal-700 at p. 8
        property gvwr 5500 kg: Permitted total weight {}
        property gcwr 7500 kg: Permitted weight of the combination {}
        property gawr_front 2100 kg: Front axle {}
        property gawr_rear 3700 kg: Rear axle {}
        property hitch_receiver 2000 kg: Towed weight, braked, on the bar {}
        property hitch_vertical 100 kg: Vertical load {}
        property unbraked_towed_max 750 kg: Towed weight, unbraked {}
        property towing_capacity 2000 kg: Greatest towed weight {}
        property overall_length 7400 mm: Length {}
        property brake_system hydraulic: Brakes: hydraulic
        property rear_lamps separate_turn: Rear lamps: stop and direction separate
        property socket seven_pin: Socket: 7 pins
        property system_voltage 12 V: Voltage {}
        """,
    ),
    Document(
        "shop-ticket-nordhal-700",
        "scale_ticket",
        "Scale ticket 4519, Nordhal 700, loaded to travel (invented)",
        "Solvang and Orrel, Fitters",
        "shop",
        entered=("Maren Ilvane", "2025-07-01"),
        checked="Imre Solvang",
        obtained_on="2025-06-27",
        basis="measured",
        pages="""
        properties of coach nordhal-700 at ticket 4519
        property loaded_weight 5240 kg: GROSS {}
        property axle_front_loaded 1890 kg: FRONT {}
        property axle_rear_loaded 3350 kg: REAR {}
        """,
    ),
)
