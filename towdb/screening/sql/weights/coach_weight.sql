-- What each coach weighs loaded: an interval. A ticket with everything aboard, one with less and what
-- is still to add, or a ticket for each axle is exact; else the coach weighs at most its gross rating.
-- Of several figures of one weight the largest counts. An unchecked figure is only a low end, and can
-- remove the high end, never give it. A coach that weighs less loaded than unloaded, or less
-- than half of its gross rating (common practice: a motor home weighs more than that empty), was
-- weighed in another unit, or it was another coach: no end at all. An unchecked figure may show that,
-- but not disprove it.
WITH loaded AS (
    SELECT coach_no, low_kg, high_kg, checked
    FROM coach_figure
    WHERE property = 'loaded_weight'
),
counting AS (
    SELECT coach_no, MAX(checked) AS is_checked,
           COALESCE(MAX(CASE WHEN checked = 1 THEN low_kg END), MAX(low_kg)) AS low_kg,
           COALESCE(MAX(CASE WHEN checked = 1 THEN high_kg END), MAX(high_kg)) AS high_kg
    FROM loaded
    GROUP BY coach_no
),
-- With everything aboard it weighs at least as much as with less.
heavier_part AS (
    SELECT p.coach_no, p.low_kg, p.high_kg,
           CASE WHEN p.checked = 1 AND c.is_checked = 1 THEN 1 ELSE 0 END AS checked
    FROM coach_figure AS p
    JOIN counting AS c ON c.coach_no = p.coach_no
    WHERE p.property = 'part_loaded_weight' AND (p.low_kg > c.low_kg OR p.high_kg > c.high_kg)
),
whole AS (
    SELECT coach_no, low_kg, high_kg, checked FROM loaded
    UNION ALL
    SELECT p.coach_no, p.low_kg + a.low_kg, p.high_kg + a.high_kg,
           CASE WHEN p.checked = 1 AND a.checked = 1 THEN 1 ELSE 0 END
    FROM coach_figure AS p
    JOIN coach_figure AS a ON a.coach_no = p.coach_no AND a.property = 'still_to_add'
    WHERE p.property = 'part_loaded_weight'
    UNION ALL
    SELECT coach_no, low_kg, high_kg, checked FROM heavier_part
),
heaviest_whole AS (
    SELECT coach_no, MAX(low_kg) AS low_kg, MAX(high_kg) AS high_kg,
           MAX(CASE WHEN checked = 1 THEN low_kg END) AS checked_low_kg,
           MAX(CASE WHEN checked = 1 THEN high_kg END) AS checked_high_kg
    FROM whole
    GROUP BY coach_no
),
axle_sum AS (
    SELECT f.coach_no, f.low_kg + r.low_kg AS low_kg, f.high_kg + r.high_kg AS high_kg,
           CASE WHEN f.checked = 1 AND r.checked = 1 THEN 1 ELSE 0 END AS checked
    FROM coach_figure AS f
    JOIN coach_figure AS r ON r.coach_no = f.coach_no AND r.property = 'axle_rear_loaded'
    WHERE f.property = 'axle_front_loaded'
),
both_axles AS (
    SELECT coach_no, checked, MAX(low_kg) AS low_kg, MAX(high_kg) AS high_kg
    FROM axle_sum
    GROUP BY coach_no, checked
),
-- Two weighings may differ by what was burned or bought between them: by 2 %, common practice.
apart AS (
    SELECT b.coach_no, b.checked, b.low_kg, b.high_kg, w.checked_high_kg,
           CASE
               WHEN b.low_kg - w.checked_high_kg > CAST(b.low_kg AS DECIMAL(28,10)) * 0.02 THEN 1
               WHEN w.checked_low_kg - b.high_kg
                    > CAST(w.checked_low_kg AS DECIMAL(28,10)) * 0.02 THEN 1
               ELSE 0
           END AS is_apart,
           CASE
               WHEN b.low_kg - w.high_kg > CAST(b.low_kg AS DECIMAL(28,10)) * 0.02 THEN 1
               WHEN w.low_kg - b.high_kg > CAST(w.low_kg AS DECIMAL(28,10)) * 0.02 THEN 1
               ELSE 0
           END AS differs
    FROM both_axles AS b
    LEFT JOIN heaviest_whole AS w ON w.coach_no = b.coach_no
),
axles AS (
    SELECT * FROM apart WHERE checked_high_kg IS NULL OR is_apart = 1
),
known AS (
    SELECT coach_no,
           MAX(CASE WHEN property = 'part_loaded_weight' THEN low_kg END) AS part_kg,
           MAX(CASE WHEN property = 'part_loaded_weight' THEN checked ELSE 0 END)
               AS part_is_checked,
           MAX(CASE WHEN property = 'unloaded_weight' THEN low_kg END) AS unloaded_kg,
           MAX(CASE WHEN property = 'gvwr' THEN low_kg END) AS heaviest_gross_kg,
           MAX(CASE WHEN property = 'gvwr' THEN high_kg END) AS gross_kg,
           MAX(CASE WHEN property = 'gvwr' THEN checked ELSE 0 END) AS gross_is_checked
    FROM coach_figure
    GROUP BY coach_no
),
ticket AS (
    SELECT coach_no, low_kg, high_kg, checked FROM whole
    UNION ALL
    SELECT coach_no, low_kg, high_kg, checked FROM axles
),
judged AS (
    SELECT t.*,
           CASE
               WHEN t.high_kg < k.unloaded_kg OR t.high_kg + t.high_kg < k.heaviest_gross_kg THEN 1
               ELSE 0
           END AS accuses
    FROM ticket AS t
    JOIN known AS k ON k.coach_no = t.coach_no
),
weighed AS (
    SELECT coach_no, MAX(low_kg) AS low_kg, MAX(high_kg) AS ticket_kg,
           CASE
               WHEN MAX(accuses) = 1 AND MAX(CASE WHEN accuses = 0 THEN checked ELSE 0 END) = 0
               THEN 1 ELSE 0
           END AS contradicts
    FROM judged
    GROUP BY coach_no
),
counted AS (
    SELECT w.coach_no, w.low_kg, w.ticket_kg, w.contradicts,
           CASE WHEN MAX(t.checked) = 1 THEN w.ticket_kg END AS high_kg
    FROM weighed AS w
    JOIN ticket AS t ON t.coach_no = w.coach_no AND t.high_kg = w.ticket_kg
    GROUP BY w.coach_no, w.low_kg, w.ticket_kg, w.contradicts
),
differing AS (
    SELECT coach_no, MAX(differs) AS differs FROM axles GROUP BY coach_no
),
ends AS (
    SELECT k.coach_no, k.unloaded_kg, k.heaviest_gross_kg, w.ticket_kg,
           w.low_kg AS weighed_low_kg, w.high_kg AS weighed_high_kg,
           COALESCE(w.contradicts, 0) AS contradicts,
           CASE WHEN p.coach_no IS NOT NULL THEN 1 ELSE 0 END AS part_is_heavier,
           COALESCE(d.differs, 0) AS axles_differ,
           CASE WHEN k.gross_is_checked = 1 THEN k.gross_kg END AS gross_kg,
           -- An unchecked part does not hide a heavier unloaded weight.
           CASE
               WHEN k.part_is_checked = 1 OR k.unloaded_kg IS NULL THEN k.part_kg
               WHEN k.part_kg > k.unloaded_kg THEN k.part_kg
               ELSE k.unloaded_kg
           END AS light_kg
    FROM known AS k
    LEFT JOIN counted AS w ON w.coach_no = k.coach_no
    LEFT JOIN (SELECT DISTINCT coach_no FROM heavier_part) AS p ON p.coach_no = k.coach_no
    LEFT JOIN differing AS d ON d.coach_no = k.coach_no
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
               WHEN contradicts = 1 THEN 'contradicted'
               WHEN weighed_high_kg IS NOT NULL AND a.weigh_by <> 'gvwr' THEN 'weighed'
               WHEN weighed_high_kg > gross_kg THEN 'weighed_over_gross'
               WHEN gross_kg IS NULL THEN 'low_end_only'
               WHEN weighed_high_kg IS NULL AND (least_kg > gross_kg OR ticket_kg > gross_kg)
                   THEN 'low_end_only'
               WHEN a.weigh_by = 'gvwr' THEN 'gross'
               ELSE 'at_most_gross'
           END AS state
    FROM low AS l
    CROSS JOIN call AS a
)
SELECT coach_no, ticket_kg, contradicts, unloaded_kg, heaviest_gross_kg, part_is_heavier,
       axles_differ,
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
