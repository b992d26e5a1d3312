-- What each candidate weighs on the road: an interval, and its basis. Curb weight never gives
-- a high end: brochures leave options out. Figures that contradict each other give no end at all: curb
-- weight and load above a gross rating; or a weighing below nine tenths of every curb weight, such as
-- kilograms typed as pounds. A typed gross rating that is a tenth away from every one on record is
-- no less than the largest of these.
WITH known AS (
    SELECT c.candidate_no, c.candidate, c.configuration_no, c.as_weighed_kg,
           c.gvwr_kg AS typed_gvwr_kg,
           a.permission_outcome, a.permission_reason, a.procedure_outcome, a.procedure_reason,
           CASE
               WHEN c.gvwr_kg < CAST(COALESCE(a.gvwr_checked_least_kg, a.gvwr_largest_rating_kg)
                                     AS DECIMAL(28,10)) * 0.9 THEN 1
               WHEN c.gvwr_kg > CAST(COALESCE(a.gvwr_checked_most_kg, a.gvwr_smallest_high_kg)
                                     AS DECIMAL(28,10)) * 1.1 THEN 1
               ELSE 0
           END AS gvwr_is_far_off,
           COALESCE(c.curb_kg, CASE WHEN a.curb_is_certain = 1 THEN a.curb_least_kg END)
               + COALESCE(c.load_kg, 0) AS curb_and_load_kg,
           CASE WHEN c.curb_kg > a.curb_most_kg OR a.curb_most_kg IS NULL
                THEN c.curb_kg ELSE a.curb_most_kg END
               + COALESCE(c.load_kg, 0) AS heaviest_curb_kg,
           -- An unchecked figure may show that a weighing cannot be true, but not disprove it.
           CASE
               WHEN c.curb_kg < a.curb_checked_least_kg THEN c.curb_kg
               ELSE COALESCE(a.curb_checked_least_kg, c.curb_kg, a.curb_largest_low_kg)
           END AS smallest_curb_kg,
           CASE WHEN c.gvwr_kg < a.gvwr_least_kg OR a.gvwr_least_kg IS NULL
                THEN c.gvwr_kg ELSE a.gvwr_least_kg END AS smallest_gvwr_kg,
           a.gvwr_least_kg, a.gvwr_most_kg, a.gvwr_largest_rating_kg,
           COALESCE(a.gvwr_is_certain, 0) AS gvwr_is_certain,
           COALESCE(a.gvwr_is_certain_and_checked, 0) AS gvwr_is_certain_and_checked
    FROM candidate AS c
    JOIN configuration_answer AS a ON a.configuration_no = c.configuration_no
),
judged AS (
    SELECT k.*, a.weigh_by,
           CASE WHEN heaviest_curb_kg > smallest_gvwr_kg THEN 1 ELSE 0 END AS contradicts,
           CASE WHEN as_weighed_kg < CAST(smallest_curb_kg AS DECIMAL(28,10)) * 0.9
                THEN 1 ELSE 0 END AS weighing_contradicts,
           CASE
               WHEN gvwr_is_far_off = 1 AND typed_gvwr_kg < gvwr_most_kg THEN gvwr_most_kg
               WHEN typed_gvwr_kg IS NOT NULL THEN typed_gvwr_kg
               WHEN gvwr_is_certain_and_checked = 1 THEN gvwr_most_kg
           END AS gvwr_kg
    FROM known AS k
    CROSS JOIN call AS a
),
consistent AS (
    SELECT j.*,
           CASE WHEN contradicts = 0 AND weighing_contradicts = 0 THEN gvwr_kg END AS most_kg,
           CASE WHEN contradicts = 0 AND weighing_contradicts = 0 THEN curb_and_load_kg END
               AS least_kg,
           CASE WHEN weighing_contradicts = 0 THEN as_weighed_kg END AS weighed_kg
    FROM judged AS j
),
basis AS (
    SELECT c.*,
           CASE
               WHEN weigh_by = 'gvwr' AND most_kg IS NULL THEN NULL
               WHEN weigh_by = 'gvwr' AND weighed_kg > most_kg THEN 'as_weighed'
               WHEN weigh_by = 'gvwr' THEN 'gvwr'
               WHEN weighed_kg IS NOT NULL THEN 'as_weighed'
               WHEN most_kg IS NOT NULL THEN 'gvwr'
           END AS basis
    FROM consistent AS c
),
gross AS (
    SELECT b.*,
           CASE
               WHEN as_weighed_kg IS NULL THEN 'not_weighed'
               WHEN typed_gvwr_kg IS NULL AND gvwr_is_certain = 0 THEN 'gvwr_not_known'
               WHEN weighing_contradicts = 1
                    AND (typed_gvwr_kg IS NOT NULL OR gvwr_is_certain_and_checked = 1)
                   THEN 'weights_contradict'
               WHEN weighing_contradicts = 1 THEN 'gvwr_not_known'
               WHEN typed_gvwr_kg IS NOT NULL AND as_weighed_kg <= typed_gvwr_kg THEN 'within'
               WHEN typed_gvwr_kg IS NOT NULL THEN 'over'
               WHEN as_weighed_kg > gvwr_largest_rating_kg THEN 'over'
               WHEN as_weighed_kg <= gvwr_least_kg AND gvwr_is_certain_and_checked = 1 THEN 'within'
               ELSE 'gvwr_not_known'
           END AS gross_reason,
           COALESCE(typed_gvwr_kg, gvwr_least_kg) AS within_kg,
           COALESCE(typed_gvwr_kg, gvwr_largest_rating_kg) AS over_kg
    FROM basis AS b
)
SELECT candidate_no, candidate, configuration_no, basis, contradicts, weighing_contradicts,
       permission_outcome, permission_reason, procedure_outcome, procedure_reason,
       CASE
           WHEN weigh_by = 'gvwr' AND basis = 'gvwr' THEN most_kg
           ELSE COALESCE(weighed_kg, least_kg)
       END AS low_kg,
       CASE basis WHEN 'as_weighed' THEN weighed_kg WHEN 'gvwr' THEN most_kg END AS high_kg,
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
       END AS gross_margin_kg,
       gvwr_is_far_off, smallest_curb_kg,
       CASE WHEN weighing_contradicts = 0 AND as_weighed_kg < smallest_curb_kg
            THEN 1 ELSE 0 END AS is_below_curb,
       CASE WHEN as_weighed_kg > within_kg THEN 1 ELSE 0 END AS is_above_gvwr
FROM gross
