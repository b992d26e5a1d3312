-- The figures of the coaches that the copies are looked at behind.
SELECT k.coach_no, f.property, f.low_kg, f.high_kg, f.is_none_stated, f.checked, f.key, f.read_from
FROM (SELECT DISTINCT coach_no, of_coach_no FROM copied_coach) AS k
JOIN coach_figure AS f ON f.coach_no = k.of_coach_no
UNION ALL
SELECT coach_no, property, rating_kg, rating_kg, CASE WHEN rating_kg IS NULL THEN 1 ELSE 0 END, 1,
       NULL, NULL
FROM copied_coach
WHERE property IS NOT NULL
