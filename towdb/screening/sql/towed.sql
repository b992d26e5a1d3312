-- What each candidate weighs on the road: an interval, and on what it rests. Curb weight never gives
-- a high end: brochures leave options out.
WITH known AS (
    SELECT c.candidate_no, c.configuration_no, c.as_weighed_kg,
           c.gvwr_kg AS typed_gvwr_kg,
           COALESCE(c.gvwr_kg, CASE WHEN a.gvwr_is_sure_and_checked = 1 THEN a.gvwr_most_kg END)
               AS gvwr_kg,
           COALESCE(c.curb_kg, CASE WHEN a.curb_is_sure = 1 THEN a.curb_least_kg END)
               + COALESCE(c.load_kg, 0) AS curb_and_load_kg,
           COALESCE(c.curb_kg, a.curb_most_kg) + COALESCE(c.load_kg, 0) AS curb_most_kg,
           COALESCE(c.gvwr_kg, a.gvwr_least_kg) AS gvwr_least_kg,
           COALESCE(c.gvwr_kg, a.gvwr_most_kg) AS gvwr_most_kg,
           CASE WHEN c.gvwr_kg IS NOT NULL THEN 1 ELSE COALESCE(a.gvwr_is_sure, 0) END
               AS gvwr_is_sure
    FROM candidate AS c
    JOIN configuration_answer AS a ON a.configuration_no = c.configuration_no
),
judged AS (
    SELECT k.candidate_no, k.configuration_no, k.as_weighed_kg, k.gvwr_kg, k.curb_and_load_kg,
           k.gvwr_least_kg, k.gvwr_most_kg, k.gvwr_is_sure, a.weigh_by,
           CASE
               WHEN k.as_weighed_kg IS NULL AND k.curb_most_kg > k.gvwr_least_kg THEN 1 ELSE 0
           END AS contradicts
    FROM known AS k
    CROSS JOIN asked AS a
),
ends AS (
    SELECT candidate_no, configuration_no, as_weighed_kg, gvwr_least_kg, gvwr_most_kg,
           gvwr_is_sure, contradicts,
           CASE
               WHEN contradicts = 1 THEN NULL
               WHEN weigh_by = 'gvwr' AND as_weighed_kg > gvwr_kg THEN as_weighed_kg
               WHEN weigh_by = 'gvwr' THEN gvwr_kg
               ELSE COALESCE(as_weighed_kg, curb_and_load_kg)
           END AS low_kg,
           CASE
               WHEN contradicts = 1 THEN NULL
               WHEN weigh_by = 'gvwr' AND as_weighed_kg > gvwr_kg THEN as_weighed_kg
               WHEN weigh_by = 'gvwr' THEN gvwr_kg
               ELSE COALESCE(as_weighed_kg, gvwr_kg)
           END AS high_kg,
           CASE
               WHEN contradicts = 1 THEN NULL
               WHEN weigh_by = 'gvwr' AND gvwr_kg IS NULL THEN NULL
               WHEN weigh_by = 'gvwr' AND as_weighed_kg > gvwr_kg THEN 'as_weighed'
               WHEN weigh_by = 'gvwr' THEN 'gvwr'
               WHEN as_weighed_kg IS NOT NULL THEN 'as_weighed'
               WHEN gvwr_kg IS NOT NULL THEN 'gvwr'
           END AS basis
    FROM judged
),
gross AS (
    SELECT candidate_no,
           CASE
               WHEN as_weighed_kg IS NULL THEN 'not_weighed'
               WHEN gvwr_least_kg IS NULL THEN 'gvwr_not_known'
               WHEN as_weighed_kg <= gvwr_least_kg THEN 'within'
               WHEN as_weighed_kg > gvwr_most_kg AND gvwr_is_sure = 1 THEN 'over'
               ELSE 'gvwr_not_known'
           END AS reason
    FROM ends
)
SELECT e.candidate_no, e.configuration_no, e.low_kg, e.high_kg, e.basis, e.contradicts,
       g.reason AS gross_reason,
       CASE g.reason
           WHEN 'within' THEN 'met'
           WHEN 'over' THEN 'not_met'
           WHEN 'not_weighed' THEN 'not_applicable'
           ELSE 'unknown'
       END AS gross_outcome,
       CASE WHEN g.reason IN ('within', 'over') THEN e.as_weighed_kg END AS gross_value_kg,
       CASE g.reason WHEN 'within' THEN e.gvwr_least_kg WHEN 'over' THEN e.gvwr_most_kg END
           AS gross_limit_kg,
       CASE g.reason
           WHEN 'within' THEN e.gvwr_least_kg - e.as_weighed_kg
           WHEN 'over' THEN e.gvwr_most_kg - e.as_weighed_kg
       END AS gross_margin_kg
FROM ends AS e
JOIN gross AS g ON g.candidate_no = e.candidate_no
