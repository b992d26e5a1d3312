-- The weight or rating that would be enough, where one figure is what is open: at most what the coach
-- has left, or at least what is asked of it; printed in pounds to 0.1, rounded to the safe side.
WITH lightest AS (
    SELECT n.candidate_no,
           COALESCE(n.gvwr_kg,
                    CASE WHEN a.gvwr_is_sure_and_checked = 1 THEN a.gvwr_least_kg
                         WHEN a.gvwr_is_sure = 1 THEN a.gvwr_largest_rating_kg END)
               AS gross_kg,
           COALESCE(n.gvwr_kg, a.gvwr_least_kg) AS least_gross_kg,
           COALESCE(n.curb_kg, a.curb_least_kg) + COALESCE(n.load_kg, 0) AS least_curb_kg
    FROM candidate AS n
    JOIN configuration_answer AS a ON a.configuration_no = n.configuration_no
),
known AS (
    SELECT o.candidate_no, o.coach_no, o.about, d.towed_high_kg, n.as_weighed_kg, l.gross_kg, l.least_gross_kg, l.least_curb_kg,
           c.capacity_kg, r.gcwr_kg, r.gcwr_allows, r.gvwr_kg, r.gvwr_allows, r.loaded_high_kg,
           r.ticket_kg
    FROM open_check AS o
    JOIN asked_decision AS d
      ON d.candidate_no = o.candidate_no AND (d.coach_no = o.coach_no OR o.coach_no IS NULL)
    JOIN candidate AS n ON n.candidate_no = o.candidate_no
    JOIN lightest AS l ON l.candidate_no = o.candidate_no
    JOIN coach_rating AS r ON r.coach_no = d.coach_no
    JOIN coach_capacity AS c ON c.coach_no = d.coach_no
),
enough AS (
    SELECT candidate_no, coach_no, about, 'at_most' AS bound,
           CASE WHEN gross_kg < capacity_kg THEN gross_kg ELSE capacity_kg END AS figure_kg
    FROM known
    WHERE about = 'as_weighed'
    UNION ALL
    -- The car that a page describes may have any of the gross ratings that come into question.
    SELECT candidate_no, coach_no, 'all_together', 'at_most',
           CASE WHEN least_gross_kg < capacity_kg THEN least_gross_kg ELSE capacity_kg END
    FROM known
    WHERE about = 'as_weighed'
      -- Nobody weighs a car below what it weighs empty.
      AND (least_curb_kg > least_gross_kg OR least_curb_kg > capacity_kg) IS NOT TRUE
    UNION ALL
    SELECT candidate_no, coach_no, about, 'at_most',
           CASE WHEN gvwr_kg < gcwr_kg - towed_high_kg THEN gvwr_kg ELSE gcwr_kg - towed_high_kg END
    FROM known
    WHERE about = 'loaded_weight' AND gcwr_allows = 1
    UNION ALL
    SELECT candidate_no, coach_no, about, 'at_least',
           CASE about
               WHEN 'gcwr' THEN towed_high_kg + loaded_high_kg
               WHEN 'coach_gvwr' THEN ticket_kg
               WHEN 'gvwr' THEN as_weighed_kg
               ELSE towed_high_kg
           END
    FROM known
    CROSS JOIN asked AS q
    WHERE about IN ('hitch_receiver', 'gcwr', 'towing_capacity')
       -- Where gross ratings stand for weights, a larger one is no better.
       OR (about IN ('coach_gvwr', 'gvwr') AND q.weigh_by <> 'gvwr')
),
pounds AS (
    SELECT DISTINCT e.*, CAST(0.45359237 AS DECIMAL(9,8)) AS kg_a_pound,
           CASE bound
               WHEN 'at_most' THEN CAST(FLOOR(figure_kg / 0.45359237 * 10 + 0.00001) AS DECIMAL(9,0))
               ELSE CAST(CEIL(figure_kg / 0.45359237 * 10 - 0.00001) AS DECIMAL(9,0))
           END AS tenths
    FROM enough AS e
    -- Below this no weight is believed.
    WHERE figure_kg >= 45.5
),
-- The tolerance keeps an exact 4,000 lb what it is; what it lifted above the figure falls again.
exact AS (
    SELECT p.* REPLACE (
               CASE
                   WHEN bound = 'at_most' AND tenths * kg_a_pound > figure_kg * 10 THEN tenths - 1
                   WHEN bound = 'at_least' AND tenths * kg_a_pound < figure_kg * 10 THEN tenths + 1
                   ELSE tenths
               END AS tenths
           )
    FROM pounds AS p
)
SELECT candidate_no, coach_no, about, bound, figure_kg, CAST(tenths / 10 AS DECIMAL(9,1)) AS figure_lb,
       CAST(tenths * kg_a_pound / 10 AS DECIMAL(18,10)) AS enough_kg,
       CAST((tenths + CASE bound WHEN 'at_most' THEN 1 ELSE -1 END) * kg_a_pound / 10
            AS DECIMAL(18,10)) AS not_enough_kg
FROM exact
