-- One row a candidate, coach and check, in the order of checks.
SELECT n.candidate, c.coach, o.check_name AS "check", o.outcome, o.reason,
       lb_up(o.value_kg) AS value_lb, lb_down(o.limit_kg) AS limit_lb,
       lb_margin(o.margin_kg) AS margin_lb, o.value_kg, o.limit_kg, o.margin_kg
FROM check_outcome AS o
JOIN candidate AS n ON n.candidate_no = o.candidate_no
JOIN coach_name AS c ON c.coach_no = o.coach_no
ORDER BY o.coach_no, o.candidate_no, o.check_no
