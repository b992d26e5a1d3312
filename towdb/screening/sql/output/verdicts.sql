-- The verdict table as people get it: names, pounds to 0.1 rounded to the safe side, and the same
-- in kilograms, unrounded.
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
FROM verdict AS v
JOIN coach_name AS c ON c.coach_no = v.coach_no
ORDER BY v.coach_no, v.candidate_no
