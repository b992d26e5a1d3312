-- What each candidate weighs on the road: an interval, and on what it rests. Curb weight never gives
-- a high end: brochures leave options out. Figures that contradict each other give no end at all.
WITH known AS (
    SELECT c.candidate_no, c.candidate, c.configuration_no, c.as_weighed_kg,
           c.gvwr_kg AS typed_gvwr_kg,
           a.permission_outcome, a.permission_reason, a.procedure_outcome, a.procedure_reason,
           COALESCE(c.gvwr_kg, CASE WHEN a.gvwr_is_sure_and_checked = 1 THEN a.gvwr_most_kg END)
               AS gvwr_kg,
           COALESCE(c.curb_kg, CASE WHEN a.curb_is_sure = 1 THEN a.curb_least_kg END)
               + COALESCE(c.load_kg, 0) AS curb_and_load_kg,
           CASE WHEN c.curb_kg > a.curb_most_kg OR a.curb_most_kg IS NULL
                THEN c.curb_kg ELSE a.curb_most_kg END
               + COALESCE(c.load_kg, 0) AS heaviest_curb_kg,
           CASE WHEN c.gvwr_kg < a.gvwr_least_kg OR a.gvwr_least_kg IS NULL
                THEN c.gvwr_kg ELSE a.gvwr_least_kg END AS smallest_gvwr_kg,
           a.gvwr_least_kg, a.gvwr_largest_rating_kg,
           COALESCE(a.gvwr_is_sure, 0) AS gvwr_is_sure,
           COALESCE(a.gvwr_is_sure_and_checked, 0) AS gvwr_is_sure_and_checked
    FROM candidate AS c
    JOIN configuration_answer AS a ON a.configuration_no = c.configuration_no
),
judged AS (
    SELECT k.*, a.weigh_by,
           CASE WHEN heaviest_curb_kg > smallest_gvwr_kg THEN 1 ELSE 0 END AS contradicts
    FROM known AS k
    CROSS JOIN asked AS a
),
consistent AS (
    SELECT j.*,
           CASE WHEN contradicts = 0 THEN gvwr_kg END AS most_kg,
           CASE WHEN contradicts = 0 THEN curb_and_load_kg END AS least_kg
    FROM judged AS j
),
basis AS (
    SELECT c.*,
           CASE
               WHEN weigh_by = 'gvwr' AND most_kg IS NULL THEN NULL
               WHEN weigh_by = 'gvwr' AND as_weighed_kg > most_kg THEN 'as_weighed'
               WHEN weigh_by = 'gvwr' THEN 'gvwr'
               WHEN as_weighed_kg IS NOT NULL THEN 'as_weighed'
               WHEN most_kg IS NOT NULL THEN 'gvwr'
           END AS basis
    FROM consistent AS c
),
gross AS (
    SELECT b.*,
           CASE
               WHEN as_weighed_kg IS NULL THEN 'not_weighed'
               WHEN typed_gvwr_kg IS NOT NULL AND as_weighed_kg <= typed_gvwr_kg THEN 'within'
               WHEN typed_gvwr_kg IS NOT NULL THEN 'over'
               WHEN gvwr_is_sure = 0 THEN 'gvwr_not_known'
               WHEN as_weighed_kg > gvwr_largest_rating_kg THEN 'over'
               WHEN as_weighed_kg <= gvwr_least_kg AND gvwr_is_sure_and_checked = 1 THEN 'within'
               ELSE 'gvwr_not_known'
           END AS gross_reason,
           COALESCE(typed_gvwr_kg, gvwr_least_kg) AS within_kg,
           COALESCE(typed_gvwr_kg, gvwr_largest_rating_kg) AS over_kg
    FROM basis AS b
)
SELECT candidate_no, candidate, configuration_no, basis, contradicts,
       permission_outcome, permission_reason, procedure_outcome, procedure_reason,
       CASE
           WHEN weigh_by = 'gvwr' AND basis = 'gvwr' THEN most_kg
           ELSE COALESCE(as_weighed_kg, least_kg)
       END AS low_kg,
       CASE basis WHEN 'as_weighed' THEN as_weighed_kg WHEN 'gvwr' THEN most_kg END AS high_kg,
       gross_reason,
       CASE gross_reason
           WHEN 'within' THEN 'met'
           WHEN 'over' THEN 'not_met'
           WHEN 'not_weighed' THEN 'not_applicable'
           ELSE 'unknown'
       END AS gross_outcome,
       CASE WHEN gross_reason IN ('within', 'over') THEN as_weighed_kg END AS gross_value_kg,
       CASE gross_reason WHEN 'within' THEN within_kg WHEN 'over' THEN over_kg END
           AS gross_limit_kg,
       CASE gross_reason
           WHEN 'within' THEN within_kg - as_weighed_kg
           WHEN 'over' THEN over_kg - as_weighed_kg
       END AS gross_margin_kg
FROM gross
