-- Each axle of each coach: its ticket beside its rating. Of several tickets the largest counts, of
-- several ratings the smallest. A rating that nobody has checked may still forbid; a ticket that nobody
-- has checked, or with only the heavier of two units above the rating, leaves it open.
WITH axle AS (
    SELECT 1 AS axle_no, 'front_axle' AS axle, 'axle_front_loaded' AS ticket, 'gawr_front' AS rating
    UNION ALL
    SELECT 2, 'rear_axle', 'axle_rear_loaded', 'gawr_rear'
),
figure AS (
    SELECT f.coach_no, a.axle_no, a.axle,
           MIN(CASE WHEN f.property = a.rating THEN f.low_kg END) AS rating_kg,
           MAX(CASE WHEN f.property = a.ticket THEN f.high_kg END) AS ticket_kg,
           MAX(CASE WHEN f.property = a.ticket AND f.checked = 1 THEN f.low_kg END) AS checked_kg
    FROM coach_figure AS f
    CROSS JOIN axle AS a
    GROUP BY f.coach_no, a.axle_no, a.axle
)
SELECT coach_no, axle_no, axle, rating_kg, ticket_kg, checked_kg,
       CASE
           WHEN checked_kg > rating_kg THEN 'over'
           WHEN ticket_kg > rating_kg THEN 'open'
           WHEN ticket_kg IS NULL AND rating_kg IS NULL THEN 'no_figure'
           WHEN ticket_kg IS NULL OR rating_kg IS NULL THEN 'not_judged'
           ELSE 'within'
       END AS state
FROM figure
