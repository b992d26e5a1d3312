-- Whether the coach itself is within its gross rating; the same for every car behind it. A ticket that
-- nobody has checked cannot show that it is within, only that it may not be.
WITH decided AS (
    SELECT coach_no, gvwr_kg, weighed_high_kg, known_low_kg,
           CASE
               WHEN known_low_kg > gvwr_kg THEN 'over'
               WHEN gvwr_allows = 0 THEN 'gvwr_not_known'
               WHEN ticket_kg > gvwr_kg THEN 'depends_on_the_weight'
               WHEN weighed_high_kg <= gvwr_kg THEN 'within'
               ELSE 'not_weighed'
           END AS reason
    FROM coach_rating
)
SELECT coach_no, reason,
       CASE reason
           WHEN 'within' THEN 'met'
           WHEN 'over' THEN 'not_met'
           WHEN 'not_weighed' THEN 'not_applicable'
           ELSE 'unknown'
       END AS outcome,
       CASE reason WHEN 'within' THEN weighed_high_kg WHEN 'over' THEN known_low_kg END AS value_kg,
       CASE WHEN reason IN ('within', 'over') THEN gvwr_kg END AS limit_kg,
       CASE reason
           WHEN 'within' THEN gvwr_kg - weighed_high_kg
           WHEN 'over' THEN gvwr_kg - known_low_kg
       END AS margin_kg
FROM decided
