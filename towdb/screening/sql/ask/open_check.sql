-- The checks that are open, with what else than a word about the car would settle them, and why.
WITH open_check AS (
    SELECT d.candidate_no, d.coach_no, k.check_no, k.check_name, k.reason,
           n.as_weighed_kg IS NOT NULL AS car_is_weighed,
           r.weighed_high_kg IS NOT NULL AS coach_is_weighed
    FROM asked_decision AS d
    JOIN candidate AS n ON n.candidate_no = d.candidate_no
    JOIN coach_rating AS r ON r.coach_no = d.coach_no
    CROSS JOIN LATERAL (
        VALUES (1, 'permission', d.permission_outcome, d.permission_reason),
               (2, 'procedure', d.procedure_outcome, d.procedure_reason),
               (3, 'hitch_receiver', d.receiver_outcome, d.receiver_reason),
               (4, 'combination_rating', d.combination_outcome, d.combination_reason),
               (5, 'towing_capacity', d.capacity_outcome, d.capacity_reason),
               (6, 'coach_gross', d.coach_gross_outcome, d.coach_gross_reason),
               (7, 'towed_gross', d.towed_gross_outcome, d.towed_gross_reason)
    ) AS k(check_no, check_name, outcome, reason)
    WHERE k.outcome = 'unknown'
)
SELECT k.candidate_no, CASE WHEN k.check_no BETWEEN 3 AND 6 THEN k.coach_no END AS coach_no,
       k.check_no, k.check_name, k.reason, w.about, w.because, w.is_of_the_car
FROM open_check AS k
JOIN asked_elsewhere AS w ON w.check_name = k.check_name AND w.reason = k.reason
WHERE NOT (w.about = 'as_weighed' AND k.car_is_weighed)
  AND NOT (w.about = 'loaded_weight' AND k.coach_is_weighed)
QUALIFY row_number() OVER (
    PARTITION BY k.candidate_no, CASE WHEN k.check_no BETWEEN 3 AND 6 THEN k.coach_no END, w.about
    ORDER BY k.check_no
) = 1
