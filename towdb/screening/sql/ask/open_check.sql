-- The checks that are open, with what else than a word about the car would settle them, and why.
WITH open_check AS (
    SELECT d.candidate_no, d.coach_no, k.check_no, k.check_name, k.reason,
           n.as_weighed_kg IS NOT NULL AS car_is_weighed, d.towed_high_kg,
           -- A ticket in two units is no reason to weigh anew while the car's weight is open too.
           r.weighed_high_kg IS NOT NULL
           AND (d.towed_low_kg = d.towed_high_kg) IS NOT TRUE AS coach_is_weighed
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
),
-- Where a car was weighed and has no high end all the same, its gross rating is what lacks.
listed AS (
    SELECT k.*, w.because, w.is_of_the_car,
           CASE WHEN w.about = 'as_weighed' AND k.car_is_weighed THEN 'gvwr' ELSE w.about END
               AS about
    FROM open_check AS k
    JOIN asked_elsewhere AS w ON w.check_name = k.check_name AND w.reason = k.reason
    WHERE NOT (w.about = 'as_weighed' AND k.car_is_weighed AND k.towed_high_kg IS NOT NULL)
      AND NOT (w.about = 'loaded_weight' AND k.check_name = 'combination_rating'
               AND k.coach_is_weighed)
),
placed AS (
    SELECT l.*, CASE WHEN l.check_no >= 3 THEN l.coach_no END AS of_coach FROM listed AS l
)
SELECT candidate_no, of_coach AS coach_no, check_no, check_name, reason, about, because,
       is_of_the_car
FROM placed
QUALIFY row_number() OVER (
    PARTITION BY candidate_no, of_coach, about ORDER BY check_no
) = 1
