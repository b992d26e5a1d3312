-- What each coach weighs loaded: an interval. A ticket with everything aboard, one with less and what
-- is still to add, or a ticket for each axle is exact; else the coach weighs at most its gross rating.
-- Of several figures of one weight the largest counts. What nobody has checked is a low end only, and
-- can take away the high end, never give it. A coach that weighs less loaded than unloaded, or less
-- than half of its gross rating, was weighed in another unit, or it was another coach: no end at all.
WITH ticket AS (
    SELECT coach_no, 'whole' AS kind, low_kg, high_kg, checked
    FROM coach_figure
    WHERE property = 'loaded_weight'
    UNION ALL
    SELECT p.coach_no, 'whole', p.low_kg + a.low_kg, p.high_kg + a.high_kg,
           CASE WHEN p.checked = 1 AND a.checked = 1 THEN 1 ELSE 0 END
    FROM coach_figure AS p
    JOIN coach_figure AS a ON a.coach_no = p.coach_no AND a.property = 'still_to_add'
    WHERE p.property = 'part_loaded_weight'
    UNION ALL
    -- With everything aboard it weighs no less than with less.
    SELECT p.coach_no, 'whole', p.low_kg, p.high_kg, p.checked
    FROM coach_figure AS p
    JOIN (SELECT DISTINCT coach_no FROM coach_figure WHERE property = 'loaded_weight') AS l
      ON l.coach_no = p.coach_no
    WHERE p.property = 'part_loaded_weight'
    UNION ALL
    SELECT f.coach_no, 'axles', f.low_kg + r.low_kg, f.high_kg + r.high_kg,
           CASE WHEN f.checked = 1 AND r.checked = 1 THEN 1 ELSE 0 END
    FROM coach_figure AS f
    JOIN coach_figure AS r ON r.coach_no = f.coach_no AND r.property = 'axle_rear_loaded'
    WHERE f.property = 'axle_front_loaded'
),
heaviest AS (
    SELECT coach_no, kind, MAX(low_kg) AS low_kg, MAX(high_kg) AS high_kg
    FROM ticket
    GROUP BY coach_no, kind
),
weighed AS (
    SELECT h.coach_no, h.kind, h.low_kg, h.high_kg,
           CASE WHEN MAX(t.checked) = 1 THEN h.high_kg END AS checked_kg
    FROM heaviest AS h
    JOIN ticket AS t ON t.coach_no = h.coach_no AND t.kind = h.kind AND t.high_kg = h.high_kg
    GROUP BY h.coach_no, h.kind, h.low_kg, h.high_kg
),
known AS (
    SELECT coach_no,
           MAX(CASE WHEN property = 'loaded_weight' THEN high_kg END) AS loaded_kg,
           MAX(CASE WHEN property = 'part_loaded_weight' THEN low_kg END) AS part_kg,
           MAX(CASE WHEN property = 'unloaded_weight' THEN low_kg END) AS unloaded_kg,
           MAX(CASE WHEN property = 'gvwr' THEN high_kg END) AS gross_kg,
           MAX(CASE WHEN property = 'gvwr' THEN checked ELSE 0 END) AS gross_is_checked
    FROM coach_figure
    GROUP BY coach_no
),
-- Two weighings may differ by what was burned or bought between them: by 2 %, common practice.
compared AS (
    SELECT k.coach_no, k.unloaded_kg, k.gross_kg AS heaviest_gross_kg,
           COALESCE(k.part_kg, k.unloaded_kg) AS light_kg,
           CASE WHEN k.gross_is_checked = 1 THEN k.gross_kg END AS gross_kg,
           CASE WHEN k.part_kg > k.loaded_kg THEN 1 ELSE 0 END AS part_is_heavier,
           w.low_kg AS whole_low_kg, w.high_kg AS whole_high_kg, w.checked_kg AS whole_checked_kg,
           x.low_kg AS axles_low_kg, x.high_kg AS axles_high_kg, x.checked_kg AS axles_checked_kg,
           CASE WHEN x.low_kg - w.high_kg > CAST(x.low_kg AS DECIMAL(28,10)) * 0.02
                THEN 1 ELSE 0 END AS axles_are_heavier,
           CASE WHEN w.low_kg - x.high_kg > CAST(w.low_kg AS DECIMAL(28,10)) * 0.02
                THEN 1 ELSE 0 END AS axles_are_lighter
    FROM known AS k
    LEFT JOIN weighed AS w ON w.coach_no = k.coach_no AND w.kind = 'whole'
    LEFT JOIN weighed AS x ON x.coach_no = k.coach_no AND x.kind = 'axles'
),
-- A ticket that nobody has checked cannot stand in the way of a heavier one of the axles.
chosen AS (
    SELECT c.*,
           CASE
               WHEN axles_high_kg IS NULL THEN 0
               WHEN whole_high_kg IS NULL OR axles_are_heavier = 1 THEN 1
               WHEN whole_checked_kg IS NULL AND axles_high_kg >= whole_high_kg THEN 1
               ELSE 0
           END AS by_axles
    FROM compared AS c
),
loaded AS (
    SELECT c.*,
           CASE WHEN by_axles = 1 THEN axles_low_kg ELSE whole_low_kg END AS weighed_low_kg,
           CASE WHEN by_axles = 1 THEN axles_high_kg ELSE whole_high_kg END AS ticket_kg,
           CASE WHEN by_axles = 1 THEN axles_checked_kg ELSE whole_checked_kg END
               AS weighed_high_kg
    FROM chosen AS c
),
ends AS (
    SELECT l.*,
           CASE
               WHEN ticket_kg < unloaded_kg OR ticket_kg + ticket_kg < heaviest_gross_kg THEN 1
               ELSE 0
           END AS contradicts,
           CASE
               WHEN weighed_high_kg IS NOT NULL THEN weighed_low_kg
               WHEN weighed_low_kg > light_kg OR light_kg IS NULL THEN weighed_low_kg
               ELSE light_kg
           END AS least_kg
    FROM loaded AS l
),
state AS (
    SELECT e.*,
           CASE
               WHEN contradicts = 1 THEN 'contradicted'
               WHEN weighed_high_kg IS NOT NULL AND a.weigh_by <> 'gvwr' THEN 'weighed'
               WHEN weighed_high_kg > gross_kg THEN 'weighed_over_gross'
               WHEN gross_kg IS NULL THEN 'low_end_only'
               WHEN weighed_high_kg IS NULL AND (least_kg > gross_kg OR ticket_kg > gross_kg)
                   THEN 'low_end_only'
               WHEN a.weigh_by = 'gvwr' THEN 'gross'
               ELSE 'at_most_gross'
           END AS state
    FROM ends AS e
    CROSS JOIN asked AS a
)
SELECT coach_no, ticket_kg, contradicts, unloaded_kg, heaviest_gross_kg, part_is_heavier,
       CASE WHEN axles_are_heavier = 1 OR axles_are_lighter = 1 THEN 1 ELSE 0 END AS axles_differ,
       CASE WHEN contradicts = 0 THEN weighed_high_kg END AS weighed_high_kg,
       CASE WHEN contradicts = 0 THEN least_kg END AS least_kg,
       CASE state
           WHEN 'contradicted' THEN NULL
           WHEN 'weighed_over_gross' THEN weighed_high_kg
           WHEN 'gross' THEN gross_kg
           ELSE least_kg
       END AS low_kg,
       CASE state
           WHEN 'weighed' THEN weighed_high_kg
           WHEN 'weighed_over_gross' THEN weighed_high_kg
           WHEN 'at_most_gross' THEN gross_kg
           WHEN 'gross' THEN gross_kg
       END AS high_kg
FROM state
