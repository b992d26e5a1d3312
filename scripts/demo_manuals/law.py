"""The law of invented places: one rule of every shape that the contract can hold."""

from scripts.demo_manuals.notation import Document

_ASH = """
rule zz-ash-brakes-1 at § 12-4(a): A vehicle drawn by another, of any kind, that weighs more than
    3,000 pounds shall have brakes which the driver of the drawing vehicle can apply.
    cells: jurisdiction zz-ash; topic brakes; effect requires; towed_scope any_towed;
    attaches_to road; purposes_excluded repair, emergency; effective_from 1998-07-01
    text: A towed vehicle above 3,000 lb has brakes that the driver of the coach can apply.
term weight: … that weighs more than 3,000 pounds …
    cells: part when; quantity towed_weight; measured_as actual; operator >; value 3000; unit lb
term brake: … shall have brakes which the driver of the drawing vehicle can apply.
    cells: part then; quantity equipment_present; operator is; word supplemental_brake
rule zz-ash-brakes-2 at § 12-4(c): Paragraph (a) does not bind a vehicle made before January 1,
    1971, or one of not more than forty percent of the gross weight of the drawing vehicle if the
    two stop from 20 miles per hour within 30 feet.
    cells: jurisdiction zz-ash; topic brakes; effect exempts; towed_scope any_towed;
    exempts_from zz-ash-brakes-1; effective_from 1998-07-01
    text: Exempt are old vehicles, and light ones whose combination stops from 20 mph within 30 ft.
term old: … a vehicle made before January 1, 1971 …
    cells: part when; group_no 1; quantity towed_made_on; operator <; date_value 1971-01-01
term share: … not more than forty percent of the gross weight of the drawing vehicle …
    cells: part when; group_no 2; quantity towed_weight; measured_as actual; operator <=; value 0.4;
    unit share; times_quantity towing_weight; times_measured_as actual
term stop: … if the two stop from 20 miles per hour within 30 feet.
    cells: part when; group_no 2; quantity stop_distance; operator <=; value 30; unit ft;
    test_speed 20; test_speed_unit mph
rule zz-ash-breakaway-1 at § 12-5: Brakes required by § 12-4 shall apply of themselves upon
    breakaway and remain applied for fifteen minutes.
    cells: jurisdiction zz-ash; topic breakaway; effect requires; towed_scope any_towed;
    incorporates zz-ash-brakes-1; effective_from 1998-07-01
    text: Brakes that are required apply themselves if the car breaks away, and hold for 15 min.
term bound: Brakes required by § 12-4 …
    cells: part when; quantity towed_weight; measured_as actual; operator >; value 3000; unit lb
term switch: … shall apply of themselves upon breakaway …
    cells: part then; quantity equipment_present; operator is; word breakaway
term hold: … and remain applied for fifteen minutes.
    cells: part then; quantity hold_time; operator >=; value 15; unit min
rule zz-ash-chains-1 at § 12-9: Each of two chains shall have a breaking strength of not less than
    the weight of the towed vehicle.
    cells: jurisdiction zz-ash; topic chains; effect requires; towed_scope any_towed;
    effective_from 2004-01-01
    text: Two chains or cables, each at least as strong as the towed vehicle is heavy.
term strength: Each of two chains shall have a breaking strength of not less than the weight of the
    towed vehicle.
    cells: part then; quantity chain_strength; measured_as breaking; operator >=; value 1;
    unit share; times_quantity towed_weight; times_measured_as actual; per each
term present: Each of two chains …
    cells: part then; quantity equipment_present; operator is; word safety_cables
"""

_BRIAR = """
rule zz-briar-classification-1 at reg. 2(1): A motor vehicle drawn on its own wheels by means of a
    tow bar is a trailer for the purposes of these regulations.
    cells: jurisdiction zz-briar; topic classification; effect classifies;
    towed_scope motor_vehicle; effective_from 2011-03-01
    text: A car on a tow bar counts as a trailer.
term bar: … by means of a tow bar …
    cells: part when; quantity connection; operator is; word tow_bar
term trailer: … is a trailer for the purposes of these regulations.
    cells: part then; quantity towed_car_is_trailer; operator is; word yes
rule zz-briar-brakes-1 at reg. 15(1): A trailer above 1,400 kg, or above half the kerb mass of the
    drawing vehicle, must have brakes on all its wheels giving 45 per cent of its weight.
    cells: jurisdiction zz-briar; topic brakes; effect requires; towed_scope trailer;
    effective_from 2011-03-01
    text: A trailer above 1,400 kg, or above half of what tows it, has brakes on all wheels.
term heavy: … above 1,400 kg …
    cells: part when; group_no 1; quantity towed_weight; measured_as unladen_plus_capacity;
    operator >; value 1400; unit kg
term half: … or above half the kerb mass of the drawing vehicle …
    cells: part when; group_no 2; quantity towed_weight; measured_as unladen_plus_capacity;
    operator >; value 50; unit %; times_quantity towing_weight; times_measured_as kerb
term wheels: … must have brakes on all its wheels …
    cells: part then; quantity towed_braked_wheels; operator >=; value 4; unit count
term force: … giving 45 per cent of its weight.
    cells: part then; quantity brake_force_share; operator >=; value 45; unit %
rule zz-briar-speed-1 at reg. 40: With a trailer: 90 km/h (55 mph) on motorways.
    cells: jurisdiction zz-briar; topic speed; effect requires; towed_scope trailer;
    road_class limited_access; effective_from 2011-03-01
    text: At most 90 km/h on motorways.
term limit: With a trailer: 90 km/h (55 mph) on motorways.
    cells: part then; quantity speed; operator <=; value 90; unit km/h; also_value 55; also_unit mph
"""

_CINDER = """
rule zz-cinder-coupling-1 at § 301: A tow bar shall bear lengthwise 1.3 times the gross weight
    towed, and upward 3,800 lb and one fiftieth of that weight.
    cells: jurisdiction zz-cinder; topic coupling; effect requires; towed_scope any_towed;
    incorporates vds-tow-bars-2003; effective_from 2006-01-01
    text: The bar bears 1.3 times the towed weight lengthwise, and 3,800 lb plus a fiftieth of it
    upward.
term lengthwise: … lengthwise 1.3 times the gross weight towed …
    cells: part then; quantity coupling_strength_longitudinal; measured_as breaking; operator >=;
    value 1.3; unit share; times_quantity towed_weight; times_measured_as rated
term upward: … and upward 3,800 lb and one fiftieth of that weight.
    cells: part then; quantity coupling_strength_vertical; measured_as breaking; operator >=;
    value 0.02; unit share; times_quantity towed_weight; times_measured_as rated; plus_value 3800;
    plus_unit lb
rule zz-cinder-length-1 at § 310: No combination of a house car and one vehicle shall exceed 65 feet
    (19.8 m).
    cells: jurisdiction zz-cinder; topic length; effect requires; towed_scope any_towed;
    effective_from 2006-01-01
    text: Coach and car together are at most 65 ft long, and only one vehicle is towed.
term length: … shall exceed 65 feet (19.8 m).
    cells: part then; quantity combination_length; operator <=; value 65; unit ft; also_value 19.8;
    also_unit m
term one: No combination of a house car and one vehicle …
    cells: part then; quantity towed_units; operator <=; value 1; unit count
rule zz-cinder-licence-1 at § 402(b): A resident needs a class H licence to drive a combination
    rated above 26,000 lb with a towed vehicle rated above 10,000 lb, or a house car of more than 40
    feet.
    cells: jurisdiction zz-cinder; topic licence; effect requires; towed_scope any_towed;
    attaches_to home; effective_from 2015-09-01; effective_to 2030-08-31
    text: Residents need a class H licence for heavy combinations and long coaches.
term combination: … a combination rated above 26,000 lb …
    cells: part when; group_no 1; quantity combination_weight; measured_as greater_of_both;
    operator >; value 26000; unit lb
term towed: … with a towed vehicle rated above 10,000 lb …
    cells: part when; group_no 1; quantity towed_weight; measured_as rated; operator >; value 10000;
    unit lb
term long: … or a house car of more than 40 feet.
    cells: part when; group_no 2; quantity towing_length; operator >; value 40; unit ft
term class: A resident needs a class H licence …
    cells: part then; quantity licence_class; operator is; word class_h
rule zz-cinder-lamps-1 at § 350: Lamps are not required on a towed motor vehicle if those of the
    towing vehicle are plainly visible behind it.
    cells: jurisdiction zz-cinder; topic lamps; effect exempts; towed_scope motor_vehicle
    text: No lamps on the car where the coach's own are seen behind it.
term visible: … if those of the towing vehicle are plainly visible behind it.
    cells: part when; quantity towing_lamps_visible; operator is; word yes
"""

_DELL = """
rule zz-dell-brakes-none at chapters 9 to 14: Chapters 9 to 14, Vehicles
    cells: jurisdiction zz-dell; topic brakes; effect none_found; towed_scope unclear
    text: Searched for brakes of a towed motor vehicle; nothing found.
rule zz-dell-gap-1 at 9.22: No more than 15 feet between two vehicles joined other than by a fifth
    wheel; a chain or rope only with a licensed person in the drawn one.
    cells: jurisdiction zz-dell; topic gap; effect requires; towed_scope any_towed;
    purposes_excluded driveaway
    text: At most 15 ft between the vehicles; no chain without somebody licensed in the car.
term gap: No more than 15 feet between two vehicles …
    cells: part then; group_no 1; quantity gap; operator <=; value 15; unit ft
term no-chain: … a chain or rope only with a licensed person in the drawn one.
    cells: part then; group_no 1; quantity connection; operator is_not; word chain
term no-rope: … a chain or rope only with a licensed person in the drawn one.
    cells: part then; group_no 1; quantity connection; operator is_not; word rope
term person: … a chain or rope only with a licensed person in the drawn one.
    cells: part then; group_no 2; quantity licensed_person_in_car; operator is; word yes
term gap-2: No more than 15 feet between two vehicles …
    cells: part then; group_no 2; quantity gap; operator <=; value 15; unit ft
"""


def _law(source_id: str, kind: str, title: str, issuer: str, day: str, pages: str) -> Document:
    role = "standards_body" if kind == "standard" else "authority"
    return Document(
        source_id,
        kind,
        title,
        issuer,
        role,
        entered=("Dunya Orrel", day),
        checked="Imre Solvang",
        obtained_on=day,
        pages=pages,
    )


DOCUMENTS = (
    _law(
        "zz-ash-vehicle-code",
        "statute",
        "Ash Vehicle Code, title 12, Drawn Vehicles (invented)",
        "Assembly of Ash",
        "2025-10-06",
        _ASH,
    ),
    _law(
        "zz-briar-road-regulations",
        "regulation",
        "Briar Road Vehicles Regulations 2011 (invented)",
        "Briar Roads Office",
        "2025-10-08",
        _BRIAR,
    ),
    _law(
        "zz-cinder-vehicle-law",
        "statute",
        "Cinder Vehicle Law, as of 2025 (invented)",
        "Legislature of Cinder",
        "2025-10-13",
        _CINDER,
    ),
    _law(
        "zz-dell-ordinances",
        "statute",
        "Ordinances of Dell, chapters 9 to 14 (invented)",
        "Council of Dell",
        "2025-10-15",
        _DELL,
    ),
    _law(
        "vds-tow-bars-2003",
        "standard",
        "VDS 88: Tow Bars for Passenger Cars, edition 2003 (invented)",
        "Vehicle Device Standards",
        "2025-10-14",
        "",
    ),
)
