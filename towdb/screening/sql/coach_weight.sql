-- What each coach weighs loaded: an interval. A ticket with everything aboard, or one with less and
-- what is still to add, is exact; else the coach weighs at most its gross rating. Of several figures
-- of one weight the largest counts. What nobody has checked is a low end only, and can take away the
-- high end, never give it.
WITH ticket AS (
    SELECT coach_no, low_kg, high_kg, checked
    FROM coach_figure
    WHERE property = 'loaded_weight'
    UNION ALL
    SELECT p.coach_no, p.low_kg + a.low_kg, p.high_kg + a.high_kg,
           CASE WHEN p.checked = 1 AND a.checked = 1 THEN 1 ELSE 0 END
    FROM coach_figure AS p
    JOIN coach_figure AS a ON a.coach_no = p.coach_no AND a.property = 'still_to_add'
    WHERE p.property = 'part_loaded_weight'
),
heaviest AS (
    SELECT coach_no, MAX(low_kg) AS low_kg, MAX(high_kg) AS high_kg
    FROM ticket
    GROUP BY coach_no
),
weighed AS (
    SELECT h.coach_no, h.low_kg, h.high_kg AS ticket_kg,
           CASE WHEN MAX(t.checked) = 1 THEN h.high_kg END AS high_kg
    FROM heaviest AS h
    JOIN ticket AS t ON t.coach_no = h.coach_no AND t.high_kg = h.high_kg
    GROUP BY h.coach_no, h.low_kg, h.high_kg
),
known AS (
    SELECT coach_no,
           MAX(CASE WHEN property = 'part_loaded_weight' THEN low_kg END) AS part_kg,
           MAX(CASE WHEN property = 'unloaded_weight' THEN low_kg END) AS unloaded_kg,
           MAX(CASE WHEN property = 'gvwr' THEN high_kg END) AS gross_kg,
           MAX(CASE WHEN property = 'gvwr' THEN checked ELSE 0 END) AS gross_is_checked
    FROM coach_figure
    GROUP BY coach_no
),
ends AS (
    SELECT k.coach_no, w.ticket_kg, w.low_kg AS weighed_low_kg, w.high_kg AS weighed_high_kg,
           COALESCE(k.part_kg, k.unloaded_kg) AS light_kg,
           CASE WHEN k.gross_is_checked = 1 THEN k.gross_kg END AS gross_kg
    FROM known AS k
    LEFT JOIN weighed AS w ON w.coach_no = k.coach_no
),
low AS (
    SELECT e.*,
           CASE
               WHEN weighed_high_kg IS NOT NULL THEN weighed_low_kg
               WHEN weighed_low_kg > light_kg OR light_kg IS NULL THEN weighed_low_kg
               ELSE light_kg
           END AS least_kg
    FROM ends AS e
),
state AS (
    SELECT l.*,
           CASE
               WHEN weighed_high_kg IS NOT NULL AND a.weigh_by <> 'gvwr' THEN 'weighed'
               WHEN weighed_high_kg > gross_kg THEN 'weighed_over_gross'
               WHEN gross_kg IS NULL THEN 'low_end_only'
               WHEN weighed_high_kg IS NULL AND (least_kg > gross_kg OR ticket_kg > gross_kg)
                   THEN 'low_end_only'
               WHEN a.weigh_by = 'gvwr' THEN 'gross'
               ELSE 'at_most_gross'
           END AS state
    FROM low AS l
    CROSS JOIN asked AS a
)
SELECT coach_no, ticket_kg, weighed_high_kg, least_kg,
       CASE state
           WHEN 'weighed_over_gross' THEN weighed_high_kg
           WHEN 'gross' THEN gross_kg
           ELSE least_kg
       END AS low_kg,
       CASE state
           WHEN 'weighed' THEN weighed_high_kg
           WHEN 'weighed_over_gross' THEN weighed_high_kg
           WHEN 'low_end_only' THEN NULL
           ELSE gross_kg
       END AS high_kg
FROM state
