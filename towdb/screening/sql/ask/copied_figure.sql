-- The figures of the coaches behind which copies are screened. A new weighing replaces the old one; a
-- rating is one more.
SELECT k.coach_no, f.property, f.low_kg, f.high_kg, f.is_none_stated, f.checked, f.key, f.read_from
FROM (
    SELECT DISTINCT coach_no, of_coach_no,
           CASE WHEN property = 'loaded_weight' THEN property END AS weighed_again
    FROM copied_coach
) AS k
JOIN coach_figure AS f
  ON f.coach_no = k.of_coach_no
 AND (k.weighed_again IS NULL OR f.property IS DISTINCT FROM k.weighed_again)
UNION ALL
SELECT coach_no, property, rating_kg, rating_kg, CASE WHEN rating_kg IS NULL THEN 1 ELSE 0 END, 1,
       NULL, NULL
FROM copied_coach
WHERE property IS NOT NULL
