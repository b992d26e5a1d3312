-- The verdict table as people get it: names, pounds to 0.1 rounded to the safe side, and the same
-- in kilograms, unrounded.
-- candidate: what the person calls the car
-- coach: the stem of the coach's file, or its id on record
-- verdict: suitable, not_suitable or undetermined
-- towed_weight_lb, towed_weight_kg: the most that the car weighs on the road; empty: not known
-- weight_basis: as_weighed or gvwr; empty: the most is not known
-- governing_check: the check that decides, or that is open
-- margin_lb, margin_kg: how far that check is below its limit; below 0: how far above
-- permission_outcome, procedure_outcome, hitch_receiver_outcome, combination_rating_outcome, towing_capacity_outcome, coach_gross_outcome, towed_gross_outcome: met, not_met, unknown or not_applicable
-- permission_reason, procedure_reason, hitch_receiver_reason, combination_rating_reason, towing_capacity_reason, coach_gross_reason, towed_gross_reason: why
-- hitch_receiver_margin_lb, combination_rating_margin_lb, towing_capacity_margin_lb, coach_gross_margin_lb, towed_gross_margin_lb: how far this check is below its limit; empty: not known
SELECT v.candidate, c.coach, v.verdict,
       lb_up(v.towed_high_kg) AS towed_weight_lb, v.weight_basis,
       v.governing_check, lb_margin(v.margin_kg) AS margin_lb,
       CAST(v.towed_high_kg AS DOUBLE) AS towed_weight_kg, CAST(v.margin_kg AS DOUBLE) AS margin_kg,
       v.permission_outcome, v.permission_reason,
       v.procedure_outcome, v.procedure_reason,
       v.receiver_outcome AS hitch_receiver_outcome, v.receiver_reason AS hitch_receiver_reason,
       lb_margin(v.receiver_margin_kg) AS hitch_receiver_margin_lb,
       v.combination_outcome AS combination_rating_outcome,
       v.combination_reason AS combination_rating_reason,
       lb_margin(v.combination_margin_kg) AS combination_rating_margin_lb,
       v.capacity_outcome AS towing_capacity_outcome,
       v.capacity_reason AS towing_capacity_reason,
       lb_margin(v.capacity_margin_kg) AS towing_capacity_margin_lb,
       v.coach_gross_outcome, v.coach_gross_reason,
       lb_margin(v.coach_gross_margin_kg) AS coach_gross_margin_lb,
       v.towed_gross_outcome, v.towed_gross_reason,
       lb_margin(v.towed_gross_margin_kg) AS towed_gross_margin_lb
FROM verdict_kg AS v
JOIN coach_name AS c ON c.coach_no = v.coach_no
ORDER BY v.coach_no, v.candidate_no
