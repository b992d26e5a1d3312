-- The checks that are open, with what would settle them other than a word about the car, and why.
WITH open_check AS (
    SELECT d.candidate_no, d.coach_no, k.check_no, k.check_name, k.reason,
           n.as_weighed_kg IS NOT NULL AND t.weighing_contradicts = 0 AS car_is_weighed,
           t.weighing_contradicts = 1 AS car_contradicts, r.loaded_contradicts = 1 AS coach_contradicts,
           d.towed_high_kg, r.loaded_high_kg,
           -- A ticket in two units is not a reason to weigh again while the car's weight is open too.
           r.weighed_high_kg IS NOT NULL
           AND (d.towed_low_kg = d.towed_high_kg) IS NOT TRUE AS coach_is_weighed,
           n.as_weighed_kg AS car_kg,
           t.smallest_curb_kg AS curb_kg,
           r.ticket_kg AS coach_kg,
           w.unloaded_kg, w.heaviest_gross_kg
    FROM open_verdict AS d
    JOIN candidate AS n ON n.candidate_no = d.candidate_no
    JOIN towed AS t ON t.candidate_no = d.candidate_no
    JOIN coach_rating AS r ON r.coach_no = d.coach_no
    JOIN coach_weight AS w ON w.coach_no = d.coach_no
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
-- If a car was weighed and still has no high end, its gross rating is missing.
listed AS (
    SELECT k.*, w.because, w.is_of_the_car,
           CASE WHEN w.about = 'as_weighed' AND k.car_is_weighed THEN 'gvwr' ELSE w.about END
               AS about
    FROM open_check AS k
    JOIN check_question AS w ON w.check_name = k.check_name AND w.reason = k.reason
    WHERE NOT (w.about = 'as_weighed' AND k.car_is_weighed AND k.towed_high_kg IS NOT NULL)
      AND NOT (w.about = 'loaded_weight' AND k.check_name = 'combination_rating'
               AND k.coach_is_weighed)
      -- Contradicting weights are weighed again; beside a missing rating, a coach's missing weight is
      -- a question too.
      AND NOT (k.reason = 'weights_contradict' AND w.about = 'as_weighed' AND NOT k.car_contradicts)
      AND NOT (k.reason = 'weights_contradict' AND w.about = 'loaded_weight'
               AND NOT k.coach_contradicts)
      AND NOT (k.reason = 'rating_missing' AND w.about = 'loaded_weight'
               AND k.loaded_high_kg IS NOT NULL)
),
contradicted AS (
    SELECT l.*, CASE WHEN l.check_no >= 3 THEN l.coach_no END AS of_coach,
           -- No weight of a car settles what lacks that of the coach; a missing rating comes first.
           CASE WHEN l.about <> 'loaded_weight' OR l.loaded_high_kg IS NOT NULL THEN 8
                WHEN l.reason = 'rating_missing' THEN 9
                ELSE 7 END AS place,
           CASE WHEN l.about = 'as_weighed' THEN l.car_kg ELSE l.coach_kg END AS figure_kg,
           CASE WHEN l.about = 'as_weighed' THEN 'beside_curb'
                WHEN l.coach_kg < l.unloaded_kg THEN 'beside_unloaded'
                ELSE 'beside_gvwr' END AS beside
    FROM listed AS l
),
figured AS (
    SELECT c.*, y.because AS beside_text,
           CASE beside WHEN 'beside_curb' THEN curb_kg WHEN 'beside_unloaded' THEN unloaded_kg
                       ELSE heaviest_gross_kg END AS other_kg
    FROM contradicted AS c
    JOIN question_reason AS y ON y.kind = c.beside
),
worded AS (
    SELECT f.*,
           FORMAT('{:,.1f} lb ({:,.1f} kg)', lb(figure_kg), CAST(figure_kg AS DOUBLE)) AS figure,
           FORMAT('{:,.1f} lb ({:,.1f} kg)', lb(other_kg), CAST(other_kg AS DOUBLE)) AS other
    FROM figured AS f
)
SELECT candidate_no, of_coach AS coach_no, check_no, check_name, reason, about, place,
       CASE WHEN reason = 'weights_contradict'
            THEN REPLACE(REPLACE(because, '{figure}', figure), '{other}',
                         REPLACE(beside_text, '{figure}', other))
            ELSE because END AS because,
       is_of_the_car
FROM worded
QUALIFY row_number() OVER (
    PARTITION BY candidate_no, of_coach, about ORDER BY check_no
) = 1
