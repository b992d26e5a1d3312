-- The weight or rating that would be enough, where only one figure is open: at most what the coach
-- has left, or at least what it needs (place 1); and after it the last at which the check stays open:
-- beyond that it fails (place 2). Printed in pounds to 0.1, rounded to the safe side.
WITH lightest AS (
    SELECT n.candidate_no,
           COALESCE(n.gvwr_kg,
                    CASE WHEN a.gvwr_is_certain_and_checked = 1 THEN a.gvwr_least_kg
                         WHEN a.gvwr_is_certain = 1 THEN a.gvwr_largest_rating_kg END)
               AS gross_kg,
           COALESCE(n.gvwr_kg, a.gvwr_least_kg) AS least_gross_kg,
           COALESCE(n.gvwr_kg, CASE WHEN a.gvwr_is_certain = 1 THEN a.gvwr_largest_rating_kg END)
               AS most_gross_kg,
           -- A weighing below nine tenths of every curb weight is not believed.
           CAST(0.9 * CAST(CASE WHEN n.curb_kg < a.curb_least_kg OR a.curb_least_kg IS NULL
                                THEN n.curb_kg ELSE a.curb_least_kg END AS DECIMAL(28,10))
                - 0.0000000001 AS DECIMAL(18,10)) AS disbelieved_kg,
           COALESCE(n.curb_kg, a.curb_least_kg) + COALESCE(n.load_kg, 0) AS least_curb_kg
    FROM candidate AS n
    JOIN configuration_answer AS a ON a.configuration_no = n.configuration_no
),
known AS (
    SELECT o.candidate_no, o.coach_no, o.about, d.towed_low_kg, d.towed_high_kg, n.as_weighed_kg,
           l.gross_kg, l.least_gross_kg, l.most_gross_kg, l.least_curb_kg, l.disbelieved_kg,
           c.capacity_kg, r.receiver_kg, r.receiver_no_mode_kg, r.towing_capacity_kg, r.gcwr_kg,
           r.gcwr_allows, r.gvwr_kg, r.gvwr_allows, r.loaded_low_kg, r.loaded_high_kg, r.known_low_kg,
           r.ticket_kg,
           -- The same of a coach: below its unloaded weight, or half of its gross rating.
           GREATEST(w.unloaded_kg,
                    CAST(CAST(w.heaviest_gross_kg AS DECIMAL(28,10)) * 0.5 AS DECIMAL(18,10)))
               - 0.0000000001 AS coach_disbelieved_kg
    FROM open_check AS o
    JOIN open_verdict AS d
      ON d.candidate_no = o.candidate_no AND (d.coach_no = o.coach_no OR o.coach_no IS NULL)
    JOIN candidate AS n ON n.candidate_no = o.candidate_no
    JOIN lightest AS l ON l.candidate_no = o.candidate_no
    JOIN coach_rating AS r ON r.coach_no = d.coach_no
    JOIN coach_weight AS w ON w.coach_no = d.coach_no
    JOIN coach_capacity AS c ON c.coach_no = d.coach_no
),
enough AS (
    SELECT candidate_no, coach_no, about, 'at_most' AS bound, LEAST(gross_kg, capacity_kg) AS figure_kg,
           GREATEST(
               LEAST(most_gross_kg, receiver_kg, receiver_no_mode_kg, towing_capacity_kg,
                     gcwr_kg - COALESCE(loaded_low_kg, 0)),
               disbelieved_kg
           ) AS last_kg
    FROM known
    WHERE about = 'as_weighed' AND capacity_kg IS NOT NULL
    UNION ALL
    -- The car that a page describes may have any of the gross ratings that may apply.
    SELECT candidate_no, coach_no, 'all_together', 'at_most', LEAST(least_gross_kg, capacity_kg), NULL
    FROM known
    WHERE about = 'as_weighed' AND capacity_kg IS NOT NULL
      -- A car is not weighed below its empty weight.
      AND (least_curb_kg > least_gross_kg OR least_curb_kg > capacity_kg) IS NOT TRUE
    UNION ALL
    SELECT candidate_no, coach_no, about, 'at_most', LEAST(gvwr_kg, gcwr_kg - towed_high_kg),
           GREATEST(LEAST(gvwr_kg, gcwr_kg - COALESCE(towed_low_kg, 0)), coach_disbelieved_kg)
    FROM known
    WHERE about = 'loaded_weight' AND gcwr_allows = 1 AND towed_high_kg IS NOT NULL
    UNION ALL
    SELECT candidate_no, coach_no, about, 'at_least',
           CASE about
               WHEN 'gcwr' THEN towed_high_kg + loaded_high_kg
               WHEN 'coach_gvwr' THEN ticket_kg
               WHEN 'gvwr' THEN as_weighed_kg
               ELSE towed_high_kg
           END,
           CASE about
               WHEN 'gcwr' THEN COALESCE(towed_low_kg, 0) + COALESCE(loaded_low_kg, 0)
               WHEN 'coach_gvwr' THEN known_low_kg
               WHEN 'gvwr' THEN NULL
               ELSE towed_low_kg
           END
    FROM known
    CROSS JOIN call AS q
    WHERE about IN ('hitch_receiver', 'gcwr', 'towing_capacity')
       -- Where gross ratings count as weights, a larger one is not better.
       OR (about IN ('coach_gvwr', 'gvwr') AND q.weigh_by <> 'gvwr')
),
placed AS (
    SELECT candidate_no, coach_no, about, bound, 1 AS place, figure_kg FROM enough
    UNION
    SELECT candidate_no, coach_no, about, bound, 2, last_kg FROM enough
),
pounds AS (
    SELECT e.*,
           CAST(CASE bound WHEN 'at_most' THEN lb_down(figure_kg) ELSE lb_up(figure_kg) END
                AS DECIMAL(9,1)) AS figure_lb
    FROM placed AS e
    -- A weight below this is not believed.
    WHERE figure_kg >= 45.5
),
-- The tolerance keeps an exact 4,000 lb exact; what it raises above the figure is lowered again.
exact AS (
    SELECT p.* REPLACE (
               CASE
                   WHEN bound = 'at_most' AND kg_of(figure_lb) > figure_kg THEN figure_lb - 0.1
                   WHEN bound = 'at_least' AND kg_of(figure_lb) < figure_kg THEN figure_lb + 0.1
                   ELSE figure_lb
               END AS figure_lb
           )
    FROM pounds AS p
)
SELECT e.candidate_no, e.coach_no, e.about, e.bound, e.place, e.figure_kg,
       CAST(e.figure_lb AS DECIMAL(9,1)) AS figure_lb,
       kg_of(e.figure_lb) AS enough_kg,
       kg_of(e.figure_lb + CASE e.bound WHEN 'at_most' THEN 0.1 ELSE -0.1 END) AS not_enough_kg
FROM exact AS e
JOIN exact AS f
  ON f.place = 1 AND f.candidate_no = e.candidate_no AND f.about = e.about
 AND f.coach_no IS NOT DISTINCT FROM e.coach_no
WHERE e.place = 1
   OR (e.bound = 'at_most' AND e.figure_lb > f.figure_lb)
   OR (e.bound = 'at_least' AND e.figure_lb < f.figure_lb)
