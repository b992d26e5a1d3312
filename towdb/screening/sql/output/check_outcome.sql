-- One row a candidate, coach and check, in the order of checks.
-- candidate: what the person calls the car
-- coach: the stem of the coach's file, or its id on record
-- check: permission, procedure, hitch_receiver, combination_rating, towing_capacity, coach_gross or towed_gross
-- outcome: met, not_met, unknown or not_applicable
-- reason: why
-- value_lb, value_kg: what was compared with the limit; empty: not known
-- limit_lb, limit_kg: the limit
-- margin_lb, margin_kg: how far the value is below the limit; below 0: how far above
SELECT n.candidate, c.coach, o.check_name AS "check", o.outcome, o.reason,
       lb_up(o.value_kg) AS value_lb, lb_down(o.limit_kg) AS limit_lb,
       lb_margin(o.margin_kg) AS margin_lb, o.value_kg, o.limit_kg, o.margin_kg
FROM verdict_check AS o
JOIN candidate AS n ON n.candidate_no = o.candidate_no
JOIN coach_name AS c ON c.coach_no = o.coach_no
ORDER BY o.coach_no, o.candidate_no, o.check_no
