-- Figures of a coach on which no check or condition rests, by what they cite.
SELECT DISTINCT n.coach, f.property
FROM coach_figure AS f
JOIN coach_name AS n ON n.coach_no = f.coach_no
LEFT JOIN verdict_citation AS x
  ON x.coach_no = f.coach_no
 AND x.table_name = CASE WHEN f.key IS NULL THEN 'coach_file' ELSE 'coach_property' END
 AND x.row_key = COALESCE(f.key, f.property)
WHERE f.property IS NOT NULL AND x.coach_no IS NULL
  -- Without a car nothing is checked, and nothing is cited.
  AND f.coach_no IN (SELECT coach_no FROM verdict_kg)
ORDER BY n.coach, f.property
