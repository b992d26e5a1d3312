-- Whether the coach itself is within its gross rating, and each axle within its own; the same for every
-- car behind it. A ticket that nobody has checked cannot show that it is within, only that it may not
-- be. An axle above its rating forbids whatever the whole weighs; one within it decides nothing. Of
-- what is too heavy, the smallest margin governs; ties: the whole, the front axle, the rear axle.
WITH whole AS (
    SELECT coach_no, gvwr_kg, weighed_high_kg, known_low_kg,
           CASE
               WHEN known_low_kg > gvwr_kg THEN 'over'
               WHEN gvwr_allows = 0 THEN 'gvwr_not_known'
               WHEN loaded_contradicts = 1 THEN 'weights_contradict'
               WHEN ticket_kg > gvwr_kg THEN 'depends_on_the_weight'
               WHEN weighed_high_kg <= gvwr_kg THEN 'within'
               ELSE 'not_weighed'
           END AS reason
    FROM coach_rating
),
axle AS (
    SELECT coach_no, MAX(CASE WHEN state = 'open' THEN 1 ELSE 0 END) AS is_open
    FROM coach_axle
    GROUP BY coach_no
),
worst AS (
    SELECT coach_no, axle, checked_kg, rating_kg, rating_kg - checked_kg AS margin_kg,
           row_number() OVER (
               PARTITION BY coach_no ORDER BY rating_kg - checked_kg NULLS LAST, axle_no NULLS LAST
           ) AS place
    FROM coach_axle
    WHERE state = 'over'
),
decided AS (
    SELECT w.coach_no, w.gvwr_kg, w.weighed_high_kg, w.known_low_kg,
           x.axle, x.checked_kg, x.rating_kg, x.margin_kg,
           CASE
               WHEN w.reason = 'over' AND x.margin_kg < w.gvwr_kg - w.known_low_kg THEN 'axle_over'
               WHEN w.reason = 'over' THEN 'over'
               WHEN x.coach_no IS NOT NULL THEN 'axle_over'
               WHEN w.reason IN ('within', 'not_weighed') AND a.is_open = 1
                   THEN 'depends_on_the_weight'
               ELSE w.reason
           END AS reason
    FROM whole AS w
    JOIN axle AS a ON a.coach_no = w.coach_no
    LEFT JOIN worst AS x ON x.coach_no = w.coach_no AND x.place = 1
)
SELECT coach_no, reason,
       CASE reason
           WHEN 'within' THEN 'met'
           WHEN 'over' THEN 'not_met'
           WHEN 'axle_over' THEN 'not_met'
           WHEN 'not_weighed' THEN 'not_applicable'
           ELSE 'unknown'
       END AS outcome,
       CASE reason
           WHEN 'within' THEN weighed_high_kg
           WHEN 'over' THEN known_low_kg
           WHEN 'axle_over' THEN checked_kg
       END AS value_kg,
       CASE reason
           WHEN 'within' THEN gvwr_kg
           WHEN 'over' THEN gvwr_kg
           WHEN 'axle_over' THEN rating_kg
       END AS limit_kg,
       CASE reason
           WHEN 'within' THEN gvwr_kg - weighed_high_kg
           WHEN 'over' THEN gvwr_kg - known_low_kg
           WHEN 'axle_over' THEN margin_kg
       END AS margin_kg,
       CASE reason WHEN 'over' THEN 'whole' WHEN 'axle_over' THEN axle END AS too_heavy
FROM decided
