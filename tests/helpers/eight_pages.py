"""Eight invented pages, one of each style that manuals print, and the cells a person types of them.

In `typed` a line that begins with @ names the sheet, one with # the columns of the lines below it;
¦ stands between two cells. What is typed is what stands here, short forms and all.
"""
# ruff: noqa: E501 - a line is a row of a sheet

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True)
class Page:
    """A page (with what else is cited of its document) as printed, and what is typed of it."""

    text: str
    typed: str

    def rows(self) -> Iterator[tuple[str, dict[str, str]]]:
        """The typed rows: the sheet, and the filled cells by column."""
        sheet, columns = "", []
        for line in map(str.strip, self.typed.strip().splitlines()):
            if line.startswith("@"):
                sheet = line[1:].strip()
            elif line.startswith("#"):
                columns = [cell.strip() for cell in line[1:].split("¦")]
            else:
                cells = [cell.strip() for cell in line.split("¦")]
                yield sheet, {c: t for c, t in zip(columns, cells, strict=True) if t}


PAGES = {
    "rule and exception": Page(
        """
        QUILLON SALLOW OWNER'S MANUAL 2021 (INVENTED)
        p. 188. Towing behind a motorhome. Do not tow your Sallow with any of its wheels on the
        ground. Exception: a Sallow with front-wheel drive and manual transmission may be towed
        with all four wheels on the ground, at no more than 60 mph (97 km/h) and for no more than
        500 miles a day. Before towing: 1. Set the parking brake. 2. Couple the vehicle. 3. Turn
        the ignition to ACC, so that the steering is not locked. 4. Shift the transmission to N.
        5. Release the parking brake. WARNING: Never tow with the key in LOCK. At each stop:
        6. Check the tires. After towing: 7. Set the parking brake. 8. Uncouple the vehicle.
        9. Start the engine and let it idle for 2 minutes.
        p. 402. Gross vehicle weight rating 4,190 lb (1,901 kg). Curb weight, manual 3,010 lb.
        """,
        """
        @ source
        # source_id ¦ kind ¦ title ¦ issuer ¦ issuer_role ¦ market ¦ model_year_from ¦ model_year_to ¦ invented
        sallow-om-2021 ¦ owner_manual ¦ Quillon Sallow Owner's Manual 2021 (invented) ¦ Quillon Motor Works ¦ vehicle_maker ¦ xa ¦ 2021 ¦ 2021 ¦ yes
        @ vehicle_group
        # source_id ¦ locator
        sallow-om-2021 ¦ p. 188
        # vehicle_group_id ¦ make ¦ model ¦ model_year_from ¦ model_year_to ¦ market ¦ powertrain ¦ drivetrain ¦ transmission ¦ transfer_case ¦ otherwise ¦ quote
        sallow-2021 ¦ Quillon ¦ Sallow ¦ 2021 ¦ 2021 ¦ xa ¦ ¦ ¦ ¦ ¦ any ¦ your Sallow
        sallow-2021-manual ¦ Quillon ¦ Sallow ¦ 2021 ¦ 2021 ¦ xa ¦ any ¦ fwd ¦ stick ¦ none ¦ any ¦ a Sallow with front-wheel drive and manual transmission
        @ eligibility
        # source_id ¦ locator ¦ vehicle_group_id
        sallow-om-2021 ¦ p. 188 ¦ sallow-2021
        # eligibility_id ¦ towing_method ¦ purpose ¦ permission ¦ section_heading ¦ quote
        sallow-rule ¦ four wheels down ¦ recreational ¦ prohibited ¦ Towing behind a motorhome ¦ Do not tow your Sallow with any of its wheels on the ground.
        sallow-rule-front ¦ front wheels up ¦ recreational ¦ prohibited ¦ Towing behind a motorhome ¦ Do not tow your Sallow with any of its wheels on the ground.
        sallow-rule-rear ¦ rear wheels up ¦ recreational ¦ prohibited ¦ Towing behind a motorhome ¦ Do not tow your Sallow with any of its wheels on the ground.
        # vehicle_group_id
        sallow-2021-manual
        # eligibility_id ¦ towing_method ¦ purpose ¦ permission ¦ section_heading ¦ overrides ¦ steps_before ¦ steps_en_route ¦ steps_after ¦ fuse_pulls ¦ limits ¦ quote
        sallow-manual ¦ four wheels down ¦ recreational ¦ permitted ¦ Towing behind a motorhome ¦ sallow-rule ¦ 5 ¦ 1 ¦ 3 ¦ 0 ¦ 2 ¦ may be towed with all four wheels on the ground
        @ towing_limit
        # source_id ¦ locator ¦ eligibility_id
        sallow-om-2021 ¦ p. 188 ¦ sallow-manual
        # quantity ¦ bound ¦ scope ¦ stated ¦ value ¦ unit ¦ also_value ¦ also_unit ¦ quote
        speed ¦ at most ¦ always ¦ number ¦ 60 ¦ mph ¦ 97 ¦ km/h ¦ at no more than 60 mph (97 km/h)
        distance ¦ at most ¦ per day ¦ number ¦ 500 ¦ miles ¦ ¦ ¦ for no more than 500 miles a day
        @ procedure_step
        # source_id ¦ locator ¦ eligibility_id ¦ phase
        sallow-om-2021 ¦ p. 188 ¦ sallow-manual ¦ before
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ quote
        1 ¦ do ¦ parking_brake ¦ set ¦ ¦ Set the parking brake.
        2 ¦ do ¦ coupling ¦ attach ¦ ¦ Couple the vehicle.
        3 ¦ do ¦ ignition ¦ turn_to ¦ accessory ¦ Turn the ignition to ACC, so that the steering is not locked.
        4 ¦ do ¦ transmission ¦ shift_to ¦ neutral ¦ Shift the transmission to N.
        5 ¦ do ¦ parking_brake ¦ release ¦ ¦ Release the parking brake.
        ¦ warning ¦ key ¦ never ¦ locked ¦ Never tow with the key in LOCK.
        # phase
        en_route
        # printed_no ¦ kind ¦ component ¦ action ¦ quote
        6 ¦ verify ¦ tires ¦ check ¦ Check the tires.
        # phase
        after
        # printed_no ¦ kind ¦ component ¦ action ¦ value ¦ unit ¦ quote
        7 ¦ do ¦ parking_brake ¦ set ¦ ¦ ¦ Set the parking brake.
        8 ¦ do ¦ coupling ¦ detach ¦ ¦ ¦ Uncouple the vehicle.
        9 ¦ do ¦ engine ¦ run ¦ 2 ¦ min ¦ Start the engine and let it idle for 2 minutes.
        @ vehicle_property
        # source_id ¦ locator ¦ vehicle_group_id
        sallow-om-2021 ¦ p. 402 ¦ sallow-2021
        # property ¦ value ¦ unit ¦ also_value ¦ also_unit ¦ quote
        gvwr ¦ 4190 ¦ lbs ¦ 1901 ¦ kg ¦ Gross vehicle weight rating 4,190 lb (1,901 kg).
        # vehicle_group_id
        sallow-2021-manual
        # property ¦ value ¦ unit ¦ quote
        curb_weight ¦ 3010 ¦ lbs ¦ Curb weight, manual 3,010 lb.
        """,
    ),
    "table by drivetrain and transmission": Page(
        """
        BESSARIN CORVANE OWNER'S HANDBOOK 2020 (INVENTED)
        p. 231. Recreational towing. All Corvanes have a gasoline engine.
        | drive                        | transmission | all four wheels on the road         |
        | front-wheel drive            | manual       | yes, at up to 65 mph, list A        |
        | front-wheel drive            | CVT          | no                                  |
        | all-wheel drive              | CVT          | no, flatbed only                    |
        | 4WD, two-speed transfer case | 6-speed automatic | yes, at up to 55 mph, list B   |
        List A. Before: A1. Turn the key to the first position. A2. Put the lever in neutral.
        A3. Release the hand brake. After: A4. Apply the hand brake. A5. Turn the key off.
        p. 232. List B. Before: B1. Apply the hand brake. B2. Set the transfer case to N.
        B3. See that the N lamp lights; if it does not, drive forward 3 ft and repeat B2. B4. Put
        the lever in P. B5. Release the hand brake. After: B6. Apply the hand brake. B7. Set the
        transfer case to 2H. B8. Check that the vehicle does not roll in P.
        p. 390. Maximum loaded weight (GVWR): front-wheel drive 4,020 lb, 4WD 4,460 lb.
        """,
        """
        @ source
        # source_id ¦ kind ¦ title ¦ issuer ¦ issuer_role ¦ market ¦ model_year_from ¦ model_year_to ¦ invented
        corvane-oh-2020 ¦ owner_manual ¦ Bessarin Corvane Owner's Handbook 2020 (invented) ¦ Bessarin Cars ¦ vehicle_maker ¦ xa ¦ 2020 ¦ 2020 ¦ yes
        @ vehicle_group
        # source_id ¦ locator
        corvane-oh-2020 ¦ p. 231
        # vehicle_group_id ¦ make ¦ model ¦ model_year_from ¦ model_year_to ¦ market ¦ powertrain ¦ drivetrain ¦ transmission ¦ transfer_case ¦ otherwise ¦ quote
        corvane-fwd-manual ¦ Bessarin ¦ Corvane ¦ 2020 ¦ 2020 ¦ xa ¦ gas ¦ fwd ¦ manual ¦ none ¦ any ¦ front-wheel drive … manual
        corvane-fwd-cvt ¦ Bessarin ¦ Corvane ¦ 2020 ¦ 2020 ¦ xa ¦ gas ¦ fwd ¦ cvt ¦ none ¦ any ¦ front-wheel drive … CVT
        corvane-awd-cvt ¦ Bessarin ¦ Corvane ¦ 2020 ¦ 2020 ¦ xa ¦ gas ¦ awd ¦ cvt ¦ none ¦ any ¦ all-wheel drive … CVT
        corvane-4wd ¦ Bessarin ¦ Corvane ¦ 2020 ¦ 2020 ¦ xa ¦ gas ¦ part_time_four_wheel_drive ¦ planetary_automatic ¦ two_speed_with_neutral ¦ any ¦ 4WD, two-speed transfer case … 6-speed automatic
        @ eligibility
        # source_id ¦ locator ¦ vehicle_group_id
        corvane-oh-2020 ¦ p. 231 ¦ corvane-fwd-manual
        # eligibility_id ¦ towing_method ¦ purpose ¦ permission ¦ section_heading ¦ steps_before ¦ steps_en_route ¦ steps_after ¦ fuse_pulls ¦ limits ¦ quote
        corvane-list-a ¦ four_wheels_down ¦ recreational ¦ permitted ¦ Recreational towing ¦ 3 ¦ 0 ¦ 2 ¦ 0 ¦ 1 ¦ yes, at up to 65 mph, list A
        # vehicle_group_id
        corvane-fwd-cvt
        # eligibility_id ¦ towing_method ¦ purpose ¦ permission ¦ section_heading ¦ quote
        corvane-cvt ¦ four_wheels_down ¦ recreational ¦ prohibited ¦ Recreational towing ¦ front-wheel drive … CVT … no
        # vehicle_group_id
        corvane-awd-cvt
        # eligibility_id ¦ towing_method ¦ purpose ¦ permission ¦ section_heading ¦ quote
        corvane-awd ¦ four_wheels_down ¦ recreational ¦ prohibited ¦ Recreational towing ¦ no, flatbed only
        corvane-awd-front ¦ front_wheels_up ¦ recreational ¦ prohibited ¦ Recreational towing ¦ no, flatbed only
        corvane-awd-rear ¦ rear_wheels_up ¦ recreational ¦ prohibited ¦ Recreational towing ¦ no, flatbed only
        corvane-awd-flatbed ¦ on_trailer ¦ recreational ¦ permitted ¦ Recreational towing ¦ no, flatbed only
        # vehicle_group_id
        corvane-4wd
        # eligibility_id ¦ towing_method ¦ purpose ¦ permission ¦ section_heading ¦ steps_before ¦ steps_en_route ¦ steps_after ¦ fuse_pulls ¦ limits ¦ quote
        corvane-list-b ¦ four_wheels_down ¦ recreational ¦ permitted ¦ Recreational towing ¦ 5 ¦ 0 ¦ 3 ¦ 0 ¦ 1 ¦ yes, at up to 55 mph, list B
        @ towing_limit
        # source_id ¦ locator ¦ eligibility_id
        corvane-oh-2020 ¦ p. 231 ¦ corvane-list-a
        # quantity ¦ bound ¦ scope ¦ stated ¦ value ¦ unit ¦ quote
        speed ¦ at_most ¦ always ¦ number ¦ 65 ¦ mph ¦ at up to 65 mph
        # eligibility_id
        corvane-list-b
        # quantity ¦ bound ¦ scope ¦ stated ¦ value ¦ unit ¦ quote
        speed ¦ at_most ¦ always ¦ number ¦ 55 ¦ mph ¦ at up to 55 mph
        @ procedure_step
        # source_id ¦ locator ¦ eligibility_id ¦ phase
        corvane-oh-2020 ¦ p. 231 ¦ corvane-list-a ¦ before
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ quote
        A1 ¦ do ¦ ignition ¦ turn_to ¦ accessory ¦ Turn the key to the first position.
        A2 ¦ do ¦ transmission ¦ shift_to ¦ neutral ¦ Put the lever in neutral.
        A3 ¦ do ¦ parking_brake ¦ release ¦ ¦ Release the hand brake.
        # phase
        after
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ quote
        A4 ¦ do ¦ parking_brake ¦ set ¦ ¦ Apply the hand brake.
        A5 ¦ do ¦ ignition ¦ turn_to ¦ off ¦ Turn the key off.
        # locator ¦ eligibility_id ¦ phase
        p. 232 ¦ corvane-list-b ¦ before
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ expect ¦ if_not ¦ quote
        B1 ¦ do ¦ parking_brake ¦ set ¦ ¦ ¦ ¦ Apply the hand brake.
        B2 ¦ do ¦ transfer_case ¦ shift_to ¦ neutral ¦ ¦ ¦ Set the transfer case to N.
        B3 ¦ verify ¦ display ¦ check ¦ ¦ the N lamp lights ¦ drive forward 3 ft and repeat B2 ¦ See that the N lamp lights; if it does not, drive forward 3 ft and repeat B2.
        B4 ¦ do ¦ shifter ¦ shift_to ¦ park ¦ ¦ ¦ Put the lever in P.
        B5 ¦ do ¦ parking_brake ¦ release ¦ ¦ ¦ ¦ Release the hand brake.
        # phase
        after
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ quote
        B6 ¦ do ¦ parking_brake ¦ set ¦ ¦ Apply the hand brake.
        B7 ¦ do ¦ transfer_case ¦ shift_to ¦ two_high ¦ Set the transfer case to 2H.
        B8 ¦ verify ¦ vehicle ¦ check ¦ ¦ Check that the vehicle does not roll in P.
        @ vehicle_property
        # source_id ¦ locator ¦ vehicle_group_id
        corvane-oh-2020 ¦ p. 390 ¦ corvane-fwd-manual
        # property ¦ value ¦ unit ¦ definition ¦ quote
        gvwr ¦ 4020 ¦ lb ¦ Maximum loaded weight ¦ Maximum loaded weight (GVWR): front-wheel drive 4,020 lb
        # vehicle_group_id
        corvane-4wd
        # property ¦ value ¦ unit ¦ definition ¦ quote
        gvwr ¦ 4460 ¦ lb ¦ Maximum loaded weight ¦ Maximum loaded weight (GVWR) … 4WD 4,460 lb
        """,
    ),
    "key and button variants": Page(
        """
        MIRADEC ONDULE OWNER'S MANUAL 2022 (INVENTED)
        p. 156. Flat towing. The gasoline Ondule, which has front-wheel drive and a 6-speed manual
        transmission, can be towed on its four wheels behind another vehicle. Do not exceed 62 mph.
        Vehicles with a key: 1. Turn the key to ACC. 2. Shift to neutral. 3. Release the parking
        brake lever. 4. See that the lever moves freely. After towing: 5. Pull the parking brake
        lever. 6. Turn the key to LOCK.
        Vehicles with a start button: 1. Press the button once without pressing the clutch. 2. Shift
        to neutral. 3. Release the parking brake lever. 4. Put the key fob in its tray, so that the
        steering stays unlocked. After towing: 5. Pull the parking brake lever. 6. Press the button
        until the display goes dark. Every 24 hours of towing run the engine for 10 minutes.
        p. 301. GVWR 3,790 lb.
        """,
        """
        @ source
        # source_id ¦ kind ¦ title ¦ issuer ¦ issuer_role ¦ market ¦ model_year_from ¦ model_year_to ¦ invented
        ondule-om-2022 ¦ owner_manual ¦ Miradec Ondule Owner's Manual 2022 (invented) ¦ Miradec Automobiles ¦ vehicle_maker ¦ xa ¦ 2022 ¦ 2022 ¦ yes
        @ vehicle_group
        # source_id ¦ locator
        ondule-om-2022 ¦ p. 156
        # vehicle_group_id ¦ make ¦ model ¦ model_year_from ¦ model_year_to ¦ market ¦ powertrain ¦ drivetrain ¦ transmission ¦ transfer_case ¦ ignition ¦ otherwise ¦ quote
        ondule-key ¦ Miradec ¦ Ondule ¦ 2022 ¦ 2022 ¦ xa ¦ gas ¦ fwd ¦ manual ¦ none ¦ key ¦ any ¦ Vehicles with a key
        ondule-button ¦ Miradec ¦ Ondule ¦ 2022 ¦ 2022 ¦ xa ¦ gas ¦ fwd ¦ manual ¦ none ¦ push button ¦ any ¦ Vehicles with a start button
        @ eligibility
        # source_id ¦ locator ¦ vehicle_group_id
        ondule-om-2022 ¦ p. 156 ¦ ondule-key
        # eligibility_id ¦ towing_method ¦ purpose ¦ permission ¦ section_heading ¦ steps_before ¦ steps_en_route ¦ steps_after ¦ fuse_pulls ¦ limits ¦ quote
        ondule-key-4down ¦ four_wheels_down ¦ recreational ¦ permitted ¦ Flat towing ¦ 4 ¦ 0 ¦ 2 ¦ 0 ¦ 1 ¦ can be towed on its four wheels behind another vehicle
        # vehicle_group_id
        ondule-button
        # eligibility_id ¦ towing_method ¦ purpose ¦ permission ¦ section_heading ¦ steps_before ¦ steps_en_route ¦ steps_after ¦ fuse_pulls ¦ limits ¦ quote
        ondule-button-4down ¦ four_wheels_down ¦ recreational ¦ permitted ¦ Flat towing ¦ 4 ¦ 1 ¦ 2 ¦ 0 ¦ 3 ¦ can be towed on its four wheels behind another vehicle
        @ towing_limit
        # source_id ¦ locator ¦ eligibility_id
        ondule-om-2022 ¦ p. 156 ¦ ondule-key-4down
        # quantity ¦ bound ¦ scope ¦ stated ¦ value ¦ unit ¦ quote
        speed ¦ at_most ¦ always ¦ number ¦ 62 ¦ mph ¦ Do not exceed 62 mph.
        # eligibility_id
        ondule-button-4down
        # quantity ¦ bound ¦ scope ¦ stated ¦ value ¦ unit ¦ quote
        speed ¦ at_most ¦ always ¦ number ¦ 62 ¦ mph ¦ Do not exceed 62 mph.
        time ¦ at_most ¦ between_engine_runs ¦ number ¦ 24 ¦ hours ¦ Every 24 hours of towing
        engine_run ¦ at_least ¦ between_engine_runs ¦ number ¦ 10 ¦ minutes ¦ run the engine for 10 minutes
        @ procedure_step
        # source_id ¦ locator ¦ eligibility_id ¦ phase
        ondule-om-2022 ¦ p. 156 ¦ ondule-key-4down ¦ before
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ quote
        1 ¦ do ¦ ignition ¦ turn_to ¦ accessory ¦ Turn the key to ACC.
        2 ¦ do ¦ transmission ¦ shift_to ¦ neutral ¦ Shift to neutral.
        3 ¦ do ¦ parking_brake ¦ release ¦ ¦ Release the parking brake lever.
        4 ¦ verify ¦ parking_brake ¦ check ¦ ¦ See that the lever moves freely.
        # phase
        after
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ quote
        5 ¦ do ¦ parking_brake ¦ set ¦ ¦ Pull the parking brake lever.
        6 ¦ do ¦ ignition ¦ turn_to ¦ locked ¦ Turn the key to LOCK.
        # eligibility_id ¦ phase
        ondule-button-4down ¦ before
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ quote
        1 ¦ do ¦ ignition ¦ press ¦ accessory ¦ Press the button once without pressing the clutch.
        2 ¦ do ¦ transmission ¦ shift_to ¦ neutral ¦ Shift to neutral.
        3 ¦ do ¦ parking_brake ¦ release ¦ ¦ Release the parking brake lever.
        4 ¦ do ¦ key ¦ insert ¦ ¦ Put the key fob in its tray, so that the steering stays unlocked.
        # phase
        en_route
        # printed_no ¦ kind ¦ component ¦ action ¦ value ¦ unit ¦ quote
        • ¦ do ¦ engine ¦ run ¦ 10 ¦ min ¦ Every 24 hours of towing run the engine for 10 minutes.
        # phase
        after
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ quote
        5 ¦ do ¦ parking_brake ¦ set ¦ ¦ Pull the parking brake lever.
        6 ¦ do ¦ ignition ¦ press ¦ off ¦ Press the button until the display goes dark.
        @ vehicle_property
        # source_id ¦ locator ¦ vehicle_group_id
        ondule-om-2022 ¦ p. 301 ¦ ondule-key
        # property ¦ value ¦ unit ¦ quote
        gvwr ¦ 3790 ¦ lb ¦ GVWR 3,790 lb.
        # vehicle_group_id
        ondule-button
        # property ¦ value ¦ unit ¦ quote
        gvwr ¦ 3790 ¦ lb ¦ GVWR 3,790 lb.
        """,
    ),
    "electric brake and battery": Page(
        """
        TARNEC PLOVER DRIVER'S GUIDE 2023 (INVENTED)
        p. 94. Taking your Plover along. Plovers with the 8-speed automatic and the two-speed transfer
        case may travel on their own wheels behind a motorhome. Gasoline: at up to 65 mph. Diesel: at
        up to 55 mph. Where it is warmer than 104 °F do not tow.
        First time: • Have a battery switch fitted by your dealer.
        Before each tow: 1. Switch on without starting. 2. Hold the brake pedal. 3. Press NEUTRAL on
        the screen and hold it for 5 seconds. 4. The screen shows NEUTRAL TOW; if it does not, start
        again at 1. 5. Press the switch of the electric parking brake until its lamp goes out.
        6. Switch off. 7. Disconnect the negative terminal with the battery switch.
        En route: 8. Once a day measure the battery; tow only if it has at least 12.2 volts.
        After each tow: 9. Reconnect the battery. 10. Pull the switch of the electric parking brake.
        11. Switch on, hold the brake pedal and press 4H. Never leave the vehicle in NEUTRAL TOW
        without the parking brake.
        p. 260. Weights. GVWR: gasoline 5,350 lb (2,427 kg), diesel 5,510 lb (2,499 kg). Battery 80 Ah.
        With the engine off the brakes have vacuum assist for two pedal strokes only.
        """,
        """
        @ source
        # source_id ¦ kind ¦ title ¦ issuer ¦ issuer_role ¦ market ¦ model_year_from ¦ model_year_to ¦ invented
        plover-dg-2023 ¦ owner_manual ¦ Tarnec Plover Driver's Guide 2023 (invented) ¦ Tarnec Works ¦ vehicle_maker ¦ xa | xb ¦ 2023 ¦ 2023 ¦ y
        @ vehicle_group
        # source_id ¦ locator
        plover-dg-2023 ¦ p. 94
        # vehicle_group_id ¦ make ¦ model ¦ model_year_from ¦ model_year_to ¦ market ¦ powertrain ¦ drivetrain ¦ transmission ¦ transfer_case ¦ parking_brake ¦ otherwise ¦ quote
        plover-gas ¦ Tarnec ¦ Plover ¦ 2023 ¦ 2023 ¦ xa | xb ¦ gas ¦ part_time_four_wheel_drive ¦ planetary_automatic ¦ two_speed_with_neutral ¦ epb ¦ any ¦ Plovers with the 8-speed automatic and the two-speed transfer case … Gasoline
        plover-diesel ¦ Tarnec ¦ Plover ¦ 2023 ¦ 2023 ¦ xa | xb ¦ diesel ¦ part_time_four_wheel_drive ¦ planetary_automatic ¦ two_speed_with_neutral ¦ epb ¦ any ¦ Plovers with the 8-speed automatic and the two-speed transfer case … Diesel
        @ eligibility
        # source_id ¦ locator ¦ vehicle_group_id
        plover-dg-2023 ¦ p. 94 ¦ plover-gas
        # eligibility_id ¦ towing_method ¦ purpose ¦ permission ¦ section_heading ¦ steps_before ¦ steps_en_route ¦ steps_after ¦ fuse_pulls ¦ limits ¦ quote
        plover-gas-4down ¦ four_wheels_down ¦ recreational ¦ permitted ¦ Taking your Plover along ¦ 8 ¦ 1 ¦ 3 ¦ 0 ¦ 3 ¦ may travel on their own wheels behind a motorhome
        # vehicle_group_id
        plover-diesel
        # eligibility_id ¦ towing_method ¦ purpose ¦ permission ¦ section_heading ¦ same_steps_as ¦ limits ¦ quote
        plover-diesel-4down ¦ four_wheels_down ¦ recreational ¦ permitted ¦ Taking your Plover along ¦ plover-gas-4down ¦ 3 ¦ may travel on their own wheels behind a motorhome
        @ towing_limit
        # source_id ¦ locator ¦ eligibility_id
        plover-dg-2023 ¦ p. 94 ¦ plover-gas-4down
        # quantity ¦ bound ¦ scope ¦ stated ¦ value ¦ unit ¦ quote
        speed ¦ at_most ¦ always ¦ number ¦ 65 ¦ mph ¦ Gasoline: at up to 65 mph.
        ambient_temperature ¦ at_most ¦ always ¦ number ¦ 104 ¦ °F ¦ Where it is warmer than 104 °F do not tow.
        battery_voltage ¦ at_least ¦ always ¦ number ¦ 12.2 ¦ volts ¦ tow only if it has at least 12.2 volts
        # eligibility_id
        plover-diesel-4down
        # quantity ¦ bound ¦ scope ¦ stated ¦ value ¦ unit ¦ quote
        speed ¦ at_most ¦ always ¦ number ¦ 55 ¦ mph ¦ Diesel: at up to 55 mph.
        ambient_temperature ¦ at_most ¦ always ¦ number ¦ 104 ¦ °F ¦ Where it is warmer than 104 °F do not tow.
        battery_voltage ¦ at_least ¦ always ¦ number ¦ 12.2 ¦ volts ¦ tow only if it has at least 12.2 volts
        @ procedure_step
        # source_id ¦ locator ¦ eligibility_id ¦ phase
        plover-dg-2023 ¦ p. 94 ¦ plover-gas-4down ¦ once
        # printed_no ¦ kind ¦ component ¦ action ¦ quote
        • ¦ do ¦ battery ¦ attach ¦ Have a battery switch fitted by your dealer.
        # phase
        before
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ value ¦ unit ¦ expect ¦ if_not ¦ quote
        1 ¦ do ¦ ignition ¦ turn_to ¦ on ¦ ¦ ¦ ¦ ¦ Switch on without starting.
        2 ¦ do ¦ brake_pedal ¦ hold ¦ ¦ ¦ ¦ ¦ ¦ Hold the brake pedal.
        3 ¦ do ¦ electronic_mode ¦ press ¦ neutral ¦ 5 ¦ sec ¦ ¦ ¦ Press NEUTRAL on the screen and hold it for 5 seconds.
        4 ¦ verify ¦ display ¦ check ¦ tow_mode ¦ ¦ ¦ NEUTRAL TOW ¦ start again at 1 ¦ The screen shows NEUTRAL TOW; if it does not, start again at 1.
        5 ¦ do ¦ parking_brake ¦ release ¦ ¦ ¦ ¦ its lamp goes out ¦ ¦ Press the switch of the electric parking brake until its lamp goes out.
        6 ¦ do ¦ ignition ¦ turn_to ¦ off ¦ ¦ ¦ ¦ ¦ Switch off.
        7 ¦ do ¦ battery ¦ disconnect ¦ negative_terminal ¦ ¦ ¦ ¦ ¦ Disconnect the negative terminal with the battery switch.
        # phase
        en_route
        # printed_no ¦ kind ¦ component ¦ action ¦ value ¦ unit ¦ quote
        8 ¦ verify ¦ battery ¦ check ¦ 12.2 ¦ V ¦ Once a day measure the battery; tow only if it has at least 12.2 volts.
        # phase
        after
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ quote
        9 ¦ do ¦ battery ¦ reconnect ¦ ¦ Reconnect the battery.
        10 ¦ do ¦ parking_brake ¦ set ¦ ¦ Pull the switch of the electric parking brake.
        11 ¦ do ¦ ignition ¦ turn_to ¦ on ¦ Switch on, hold the brake pedal and press 4H.
        11 ¦ do ¦ brake_pedal ¦ hold ¦ ¦ Switch on, hold the brake pedal and press 4H.
        11 ¦ do ¦ transfer_case ¦ shift_to ¦ four_high ¦ Switch on, hold the brake pedal and press 4H.
        ¦ warning ¦ electronic_mode ¦ never ¦ tow_mode ¦ Never leave the vehicle in NEUTRAL TOW without the parking brake.
        @ vehicle_property
        # source_id ¦ locator ¦ vehicle_group_id
        plover-dg-2023 ¦ p. 260 ¦ plover-gas
        # property ¦ value ¦ unit ¦ also_value ¦ also_unit ¦ word ¦ quote
        gvwr ¦ 5350 ¦ lb ¦ 2427 ¦ kg ¦ ¦ GVWR: gasoline 5,350 lb (2,427 kg)
        battery_capacity ¦ 80 ¦ Ah ¦ ¦ ¦ ¦ Battery 80 Ah.
        brake_assist ¦ ¦ ¦ ¦ ¦ Vacuum ¦ the brakes have vacuum assist
        brake_assist_without_engine ¦ ¦ ¦ ¦ ¦ n ¦ With the engine off the brakes have vacuum assist for two pedal strokes only.
        # vehicle_group_id
        plover-diesel
        # property ¦ value ¦ unit ¦ also_value ¦ also_unit ¦ quote
        gvwr ¦ 5510 ¦ lb ¦ 2499 ¦ kg ¦ diesel 5,510 lb (2,499 kg)
        """,
    ),
    "fuses and alternative limits": Page(
        """
        QUILLON TEAL OWNER'S MANUAL 2019 (INVENTED)
        p. 205. Towing the Teal behind a motorhome. Only the Teal with front-wheel drive and the 4-speed
        automatic may be towed with its wheels down. Tow it either no faster than 65 mph and no more
        than 200 miles between engine runs of 5 minutes, or no faster than 45 mph over any distance.
        a) Fit the towing harness (once). b) Set the parking brake. c) Turn the key to ACC. d) In the
        dash panel pull fuses F7 (10 A, METER), F12 (15 A, ACC) and F31 (20 A, SOCKET), and move the
        relay R2 of the engine panel to SPARE 1. e) Shift to N. f) Release the parking brake. g) When
        you run the engine, put F7 back first, and pull it again afterwards. h) On arrival set the
        parking brake. i) Shift to P. j) Put all fuses and the relay back before you drive. With F7
        out the odometer stands still; with F31 out the power outlet is dead.
        p. 377. GVWR 4,300 lb. Rear lamps: stop and turn signal share one bulb.
        """,
        """
        @ source
        # source_id ¦ kind ¦ title ¦ issuer ¦ issuer_role ¦ market ¦ model_year_from ¦ model_year_to ¦ invented
        teal-om-2019 ¦ owner_manual ¦ Quillon Teal Owner's Manual 2019 (invented) ¦ Quillon Motor Works ¦ vehicle_maker ¦ xa ¦ 2019 ¦ 2019 ¦ yes
        @ vehicle_group
        # source_id ¦ locator
        teal-om-2019 ¦ p. 205
        # vehicle_group_id ¦ make ¦ model ¦ model_year_from ¦ model_year_to ¦ market ¦ powertrain ¦ drivetrain ¦ transmission ¦ transfer_case ¦ otherwise ¦ quote
        teal-fwd-4at ¦ Quillon ¦ Teal ¦ 2019 ¦ 2019 ¦ xa ¦ any ¦ fwd ¦ planetary automatic ¦ none ¦ any ¦ Only the Teal with front-wheel drive and the 4-speed automatic
        teal-others ¦ Quillon ¦ Teal ¦ 2019 ¦ 2019 ¦ xa ¦ ¦ ¦ not planetary_automatic ¦ ¦ any ¦ Only the Teal with front-wheel drive and the 4-speed automatic
        @ eligibility
        # source_id ¦ locator ¦ vehicle_group_id
        teal-om-2019 ¦ p. 205 ¦ teal-fwd-4at
        # eligibility_id ¦ towing_method ¦ purpose ¦ permission ¦ section_heading ¦ steps_before ¦ steps_en_route ¦ steps_after ¦ fuse_pulls ¦ limits ¦ quote
        teal-4down ¦ four_wheels_down ¦ recreational ¦ permitted ¦ Towing the Teal behind a motorhome ¦ 6 ¦ 1 ¦ 3 ¦ 4 ¦ 4 ¦ may be towed with its wheels down
        # vehicle_group_id
        teal-others
        # eligibility_id ¦ towing_method ¦ purpose ¦ permission ¦ section_heading ¦ quote
        teal-others-4down ¦ four_wheels_down ¦ recreational ¦ prohibited ¦ Towing the Teal behind a motorhome ¦ Only the Teal with front-wheel drive and the 4-speed automatic may be towed with its wheels down.
        @ towing_limit
        # source_id ¦ locator ¦ eligibility_id
        teal-om-2019 ¦ p. 205 ¦ teal-4down
        # alternative_no ¦ quantity ¦ bound ¦ scope ¦ stated ¦ value ¦ unit ¦ quote
        1 ¦ speed ¦ at_most ¦ always ¦ number ¦ 65 ¦ mph ¦ no faster than 65 mph
        1 ¦ distance ¦ at_most ¦ between_engine_runs ¦ number ¦ 200 ¦ miles ¦ no more than 200 miles between engine runs of 5 minutes
        1 ¦ engine_run ¦ at_least ¦ between_engine_runs ¦ number ¦ 5 ¦ minutes ¦ no more than 200 miles between engine runs of 5 minutes
        2 ¦ speed ¦ at_most ¦ always ¦ number ¦ 45 ¦ mph ¦ no faster than 45 mph over any distance
        @ procedure_step
        # source_id ¦ locator ¦ eligibility_id ¦ phase
        teal-om-2019 ¦ p. 205 ¦ teal-4down ¦ once
        # printed_no ¦ kind ¦ component ¦ action ¦ quote
        a) ¦ do ¦ harness ¦ attach ¦ Fit the towing harness (once).
        # phase
        before
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ quote
        b) ¦ do ¦ parking_brake ¦ set ¦ ¦ Set the parking brake.
        c) ¦ do ¦ ignition ¦ turn_to ¦ accessory ¦ Turn the key to ACC.
        d) ¦ do ¦ fuse ¦ pull ¦ ¦ In the dash panel pull fuses F7 (10 A, METER), F12 (15 A, ACC) and F31 (20 A, SOCKET)
        e) ¦ do ¦ shifter ¦ shift_to ¦ neutral ¦ Shift to N.
        f) ¦ do ¦ parking_brake ¦ release ¦ ¦ Release the parking brake.
        # phase
        en_route
        # printed_no ¦ kind ¦ component ¦ action ¦ value ¦ unit ¦ quote
        g) ¦ do ¦ fuse ¦ restore ¦ ¦ ¦ When you run the engine, put F7 back first, and pull it again afterwards.
        g) ¦ do ¦ engine ¦ run ¦ 5 ¦ min ¦ When you run the engine, put F7 back first, and pull it again afterwards.
        # phase
        after
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ quote
        h) ¦ do ¦ parking_brake ¦ set ¦ ¦ On arrival set the parking brake.
        i) ¦ do ¦ shifter ¦ shift_to ¦ park ¦ Shift to P.
        j) ¦ do ¦ fuse ¦ restore ¦ ¦ Put all fuses and the relay back before you drive.
        @ fuse_pull
        # source_id ¦ locator ¦ procedure_step_id
        teal-om-2019 ¦ p. 205 ¦ teal-4down-before-d-fuse
        # action ¦ device ¦ panel ¦ position ¦ to_position ¦ rating_a ¦ circuit ¦ disables ¦ restore ¦ quote
        pull ¦ fuse ¦ dash panel ¦ F7 ¦ ¦ 10 ¦ METER ¦ odometer ¦ before_engine_start ¦ F7 (10 A, METER)
        pull ¦ fuse ¦ dash panel ¦ F12 ¦ ¦ 15 ¦ ACC ¦ ¦ before_driving ¦ F12 (15 A, ACC)
        pull ¦ fuse ¦ dash panel ¦ F31 ¦ ¦ 20 ¦ SOCKET ¦ car power outlet ¦ before_driving ¦ F31 (20 A, SOCKET)
        move ¦ relay ¦ engine panel ¦ R2 ¦ SPARE 1 ¦ ¦ ¦ ¦ before_driving ¦ move the relay R2 of the engine panel to SPARE 1
        @ vehicle_property
        # source_id ¦ locator ¦ vehicle_group_id
        teal-om-2019 ¦ p. 377 ¦ teal-fwd-4at
        # property ¦ value ¦ unit ¦ word ¦ quote
        gvwr ¦ 4300 ¦ lbs ¦ ¦ GVWR 4,300 lb.
        rear_lamps ¦ ¦ ¦ combined turn ¦ stop and turn signal share one bulb
        lamp_type ¦ ¦ ¦ bulb ¦ stop and turn signal share one bulb
        """,
    ),
    "emergency section": Page(
        """
        TARNEC DUNLIN DRIVER'S GUIDE 2018 (INVENTED)
        p. 310. If you break down. A Dunlin that cannot move by itself is best taken away on a flatbed.
        In an emergency it may be pulled on its four wheels for up to 15 miles, at no more than 30 mph,
        if the transmission is not damaged: 1. Turn the ignition on. 2. Shift to N. 3. Release the
        parking brake. 4. Someone who holds a licence must steer. At the end: 5. Set the parking brake.
        It may also be towed with its front wheels lifted, at no more than 50 mph. Never lift the rear
        wheels only: the continuously variable transmission would be destroyed.
        p. 311. The Dunlin must not be towed behind a motorhome on its own wheels.
        p. 7. All Dunlins have front-wheel drive, a gasoline engine and a continuously variable
        transmission. p. 355. GVWR 3,640 lb.
        """,
        """
        @ source
        # source_id ¦ kind ¦ title ¦ issuer ¦ issuer_role ¦ market ¦ model_year_from ¦ model_year_to ¦ invented
        dunlin-dg-2018 ¦ owner_manual ¦ Tarnec Dunlin Driver's Guide 2018 (invented) ¦ Tarnec Works ¦ vehicle_maker ¦ xa ¦ 2018 ¦ 2018 ¦ yes
        @ vehicle_group
        # source_id ¦ locator
        dunlin-dg-2018 ¦ p. 7
        # vehicle_group_id ¦ make ¦ model ¦ model_year_from ¦ model_year_to ¦ market ¦ powertrain ¦ drivetrain ¦ transmission ¦ transfer_case ¦ otherwise ¦ quote
        dunlin-2018 ¦ Tarnec ¦ Dunlin ¦ 2018 ¦ 2018 ¦ xa ¦ gas ¦ fwd ¦ cvt ¦ none ¦ any ¦ All Dunlins have front-wheel drive, a gasoline engine and a continuously variable transmission.
        @ eligibility
        # source_id ¦ locator ¦ vehicle_group_id
        dunlin-dg-2018 ¦ p. 310 ¦ dunlin-2018
        # eligibility_id ¦ towing_method ¦ purpose ¦ permission ¦ section_heading ¦ steps_before ¦ steps_en_route ¦ steps_after ¦ fuse_pulls ¦ limits ¦ quote
        dunlin-flatbed ¦ on_trailer ¦ emergency ¦ permitted ¦ If you break down ¦ ¦ ¦ ¦ ¦ ¦ A Dunlin that cannot move by itself is best taken away on a flatbed.
        dunlin-breakdown ¦ four_wheels_down ¦ emergency ¦ permitted ¦ If you break down ¦ 4 ¦ 0 ¦ 1 ¦ 0 ¦ 2 ¦ In an emergency it may be pulled on its four wheels
        dunlin-front-up ¦ front_wheels_up ¦ emergency ¦ permitted ¦ If you break down ¦ ¦ ¦ ¦ ¦ 1 ¦ It may also be towed with its front wheels lifted
        dunlin-rear-up ¦ rear_wheels_up ¦ emergency ¦ prohibited ¦ If you break down ¦ ¦ ¦ ¦ ¦ ¦ Never lift the rear wheels only
        # locator ¦ vehicle_group_id
        p. 311 ¦ dunlin-2018
        # eligibility_id ¦ towing_method ¦ purpose ¦ permission ¦ quote
        dunlin-4down ¦ four_wheels_down ¦ recreational ¦ prohibited ¦ The Dunlin must not be towed behind a motorhome on its own wheels.
        @ towing_limit
        # source_id ¦ locator ¦ eligibility_id
        dunlin-dg-2018 ¦ p. 310 ¦ dunlin-breakdown
        # quantity ¦ bound ¦ scope ¦ stated ¦ value ¦ unit ¦ quote
        distance ¦ at_most ¦ per_trip ¦ number ¦ 15 ¦ miles ¦ for up to 15 miles
        speed ¦ at_most ¦ always ¦ number ¦ 30 ¦ mph ¦ at no more than 30 mph
        # eligibility_id
        dunlin-front-up
        # quantity ¦ bound ¦ scope ¦ stated ¦ value ¦ unit ¦ quote
        speed ¦ at_most ¦ always ¦ number ¦ 50 ¦ mph ¦ at no more than 50 mph
        @ procedure_step
        # source_id ¦ locator ¦ eligibility_id ¦ phase
        dunlin-dg-2018 ¦ p. 310 ¦ dunlin-breakdown ¦ before
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ only_when ¦ quote
        1 ¦ do ¦ ignition ¦ turn_to ¦ on ¦ ¦ Turn the ignition on.
        2 ¦ do ¦ shifter ¦ shift_to ¦ neutral ¦ if the transmission is not damaged ¦ Shift to N.
        3 ¦ do ¦ parking_brake ¦ release ¦ ¦ ¦ Release the parking brake.
        4 ¦ do ¦ steering ¦ hold ¦ ¦ ¦ Someone who holds a licence must steer.
        # phase
        after
        # printed_no ¦ kind ¦ component ¦ action ¦ quote
        5 ¦ do ¦ parking_brake ¦ set ¦ Set the parking brake.
        @ vehicle_property
        # source_id ¦ locator ¦ vehicle_group_id
        dunlin-dg-2018 ¦ p. 355 ¦ dunlin-2018
        # property ¦ value ¦ unit ¦ quote
        gvwr ¦ 3640 ¦ lb ¦ GVWR 3,640 lb.
        """,
    ),
    "bulletin from a build date": Page(
        """
        MIRADEC TECHNICAL BULLETIN 22-117, 6 JUNE 2022 (INVENTED)
        item 1. Vehicles concerned: Ondule 2022 with key, built from 2 May 2022 and without the winter
        package. The gear pump of these vehicles is new.
        item 2. Page 156 of the owner's manual is replaced for them: towing on four wheels is permitted
        at up to 50 mph (80 km/h), for at most 6 hours a day. 1) Turn the key to ACC. 2) Shift to neutral.
        3) Release the parking brake lever. 4) Every 3 hours stop and run the engine for 5 minutes in
        neutral. 5) When parked, pull the parking brake lever. 6) Turn the key to LOCK.
        item 3. Vehicles concerned that have the winter package must not be towed on four wheels.
        """,
        """
        @ source
        # source_id ¦ kind ¦ title ¦ issuer ¦ issuer_role ¦ document_number ¦ market ¦ model_year_from ¦ model_year_to ¦ published_on ¦ invented
        ondule-tb-22-117 ¦ technical_bulletin ¦ Miradec Technical Bulletin 22-117 (invented) ¦ Miradec Automobiles ¦ vehicle_maker ¦ 22-117 ¦ xa ¦ 2022 ¦ 2022 ¦ 2022-06-06 ¦ yes
        @ vehicle_group
        # source_id ¦ locator
        ondule-tb-22-117 ¦ item 1
        # vehicle_group_id ¦ make ¦ model ¦ model_year_from ¦ model_year_to ¦ market ¦ powertrain ¦ drivetrain ¦ transmission ¦ transfer_case ¦ ignition ¦ otherwise ¦ built_from ¦ options_with ¦ options_without ¦ quote
        ondule-key-late ¦ Miradec ¦ Ondule ¦ 2022 ¦ 2022 ¦ xa ¦ gas ¦ fwd ¦ manual ¦ none ¦ key ¦ any ¦ 2022-05-02 ¦ ¦ winter package ¦ Ondule 2022 with key, built from 2 May 2022 and without the winter package
        # locator
        item 3
        # vehicle_group_id ¦ make ¦ model ¦ model_year_from ¦ model_year_to ¦ market ¦ powertrain ¦ drivetrain ¦ transmission ¦ transfer_case ¦ ignition ¦ otherwise ¦ built_from ¦ options_with ¦ options_without ¦ quote
        ondule-key-winter ¦ Miradec ¦ Ondule ¦ 2022 ¦ 2022 ¦ xa ¦ gas ¦ fwd ¦ manual ¦ none ¦ key ¦ any ¦ 2022-05-02 ¦ winter package ¦ ¦ Vehicles concerned that have the winter package
        @ eligibility
        # source_id ¦ locator ¦ vehicle_group_id
        ondule-tb-22-117 ¦ item 2 ¦ ondule-key-late
        # eligibility_id ¦ towing_method ¦ purpose ¦ permission ¦ overrides ¦ steps_before ¦ steps_en_route ¦ steps_after ¦ fuse_pulls ¦ limits ¦ quote
        ondule-late-4down ¦ four_wheels_down ¦ recreational ¦ permitted ¦ ondule-key-4down ¦ 3 ¦ 1 ¦ 2 ¦ 0 ¦ 4 ¦ towing on four wheels is permitted
        # locator ¦ vehicle_group_id
        item 3 ¦ ondule-key-winter
        # eligibility_id ¦ towing_method ¦ purpose ¦ permission ¦ overrides ¦ quote
        ondule-winter-4down ¦ four_wheels_down ¦ recreational ¦ prohibited ¦ ondule-key-4down ¦ must not be towed on four wheels
        @ towing_limit
        # source_id ¦ locator ¦ eligibility_id
        ondule-tb-22-117 ¦ item 2 ¦ ondule-late-4down
        # quantity ¦ bound ¦ scope ¦ stated ¦ value ¦ unit ¦ also_value ¦ also_unit ¦ quote
        speed ¦ at_most ¦ always ¦ number ¦ 50 ¦ mph ¦ 80 ¦ km/h ¦ at up to 50 mph (80 km/h)
        time ¦ at_most ¦ per_day ¦ number ¦ 6 ¦ hours ¦ ¦ ¦ for at most 6 hours a day
        time ¦ at_most ¦ between_engine_runs ¦ number ¦ 3 ¦ hours ¦ ¦ ¦ Every 3 hours stop and run the engine for 5 minutes
        engine_run ¦ at_least ¦ between_engine_runs ¦ number ¦ 5 ¦ minutes ¦ ¦ ¦ run the engine for 5 minutes in neutral
        @ procedure_step
        # source_id ¦ locator ¦ eligibility_id ¦ phase
        ondule-tb-22-117 ¦ item 2 ¦ ondule-late-4down ¦ before
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ quote
        1) ¦ do ¦ ignition ¦ turn_to ¦ accessory ¦ Turn the key to ACC.
        2) ¦ do ¦ transmission ¦ shift_to ¦ neutral ¦ Shift to neutral.
        3) ¦ do ¦ parking_brake ¦ release ¦ ¦ Release the parking brake lever.
        # phase
        en_route
        # printed_no ¦ kind ¦ component ¦ action ¦ value ¦ unit ¦ quote
        4) ¦ do ¦ engine ¦ run ¦ 5 ¦ min ¦ Every 3 hours stop and run the engine for 5 minutes in neutral.
        # phase
        after
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ quote
        5) ¦ do ¦ parking_brake ¦ set ¦ ¦ When parked, pull the parking brake lever.
        6) ¦ do ¦ ignition ¦ turn_to ¦ locked ¦ Turn the key to LOCK.
        """,
    ),
    "market supplement": Page(
        """
        QUILLON SALLOW, SUPPLEMENT FOR THE COUNTRY XB, 2021 (INVENTED)
        S-4. Towing behind a motorhome. In Xb the Sallow is sold with a diesel engine only. With manual
        transmission and front-wheel drive it may be towed on four wheels at no more than 80 km/h.
        Distance is not limited. 1. Set the parking brake. 2. Turn the ignition to ACC. 3. Shift the
        transmission to N. 4. Release the parking brake. After towing: 5. Set the parking brake.
        6. Turn the ignition off.
        S-9. Gross vehicle weight 1 960 kg. Kerb weight 1 420 kg, with driver's fluids, without load.
        """,
        """
        @ source
        # source_id ¦ kind ¦ title ¦ issuer ¦ issuer_role ¦ market ¦ model_year_from ¦ model_year_to ¦ invented
        sallow-xb-2021 ¦ manual_supplement ¦ Quillon Sallow, Supplement for Xb, 2021 (invented) ¦ Quillon Motor Works ¦ vehicle_maker ¦ xb ¦ 2021 ¦ 2021 ¦ yes
        @ vehicle_group
        # source_id ¦ locator ¦ file_page
        sallow-xb-2021 ¦ S-4 ¦ 6
        # vehicle_group_id ¦ make ¦ model ¦ model_year_from ¦ model_year_to ¦ market ¦ powertrain ¦ drivetrain ¦ transmission ¦ transfer_case ¦ otherwise ¦ quote
        sallow-xb ¦ Quillon ¦ Sallow ¦ 2021 ¦ 2021 ¦ xb ¦ diesel ¦ fwd ¦ stick ¦ none ¦ any ¦ In Xb the Sallow is sold with a diesel engine only. With manual transmission and front-wheel drive
        @ eligibility
        # source_id ¦ locator ¦ file_page ¦ vehicle_group_id
        sallow-xb-2021 ¦ S-4 ¦ 6 ¦ sallow-xb
        # eligibility_id ¦ towing_method ¦ purpose ¦ permission ¦ section_heading ¦ steps_before ¦ steps_en_route ¦ steps_after ¦ fuse_pulls ¦ limits ¦ quote
        sallow-xb-4down ¦ four_wheels_down ¦ recreational ¦ permitted ¦ Towing behind a motorhome ¦ 4 ¦ 0 ¦ 2 ¦ 0 ¦ 2 ¦ it may be towed on four wheels
        @ towing_limit
        # source_id ¦ locator ¦ file_page ¦ eligibility_id
        sallow-xb-2021 ¦ S-4 ¦ 6 ¦ sallow-xb-4down
        # quantity ¦ bound ¦ scope ¦ stated ¦ value ¦ unit ¦ quote
        speed ¦ at_most ¦ always ¦ number ¦ 80 ¦ kph ¦ at no more than 80 km/h
        distance ¦ at_most ¦ per_trip ¦ unlimited ¦ ¦ ¦ Distance is not limited.
        @ procedure_step
        # source_id ¦ locator ¦ file_page ¦ eligibility_id ¦ phase
        sallow-xb-2021 ¦ S-4 ¦ 6 ¦ sallow-xb-4down ¦ before
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ quote
        1 ¦ do ¦ parking_brake ¦ set ¦ ¦ Set the parking brake.
        2 ¦ do ¦ ignition ¦ turn_to ¦ accessory ¦ Turn the ignition to ACC.
        3 ¦ do ¦ transmission ¦ shift_to ¦ neutral ¦ Shift the transmission to N.
        4 ¦ do ¦ parking_brake ¦ release ¦ ¦ Release the parking brake.
        # phase
        after
        # printed_no ¦ kind ¦ component ¦ action ¦ target ¦ quote
        5 ¦ do ¦ parking_brake ¦ set ¦ ¦ Set the parking brake.
        6 ¦ do ¦ ignition ¦ turn_to ¦ off ¦ Turn the ignition off.
        @ vehicle_property
        # source_id ¦ locator ¦ file_page ¦ vehicle_group_id
        sallow-xb-2021 ¦ S-9 ¦ 11 ¦ sallow-xb
        # property ¦ value ¦ unit ¦ definition ¦ quote
        gvwr ¦ 1960 ¦ kgs ¦ ¦ Gross vehicle weight 1 960 kg.
        curb_weight ¦ 1420 ¦ kgs ¦ with driver's fluids, without load ¦ Kerb weight 1 420 kg, with driver's fluids, without load.
        """,
    ),
}
