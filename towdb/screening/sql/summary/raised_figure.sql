-- The figures of each coach, as they are and with every rating of what it may pull raised: receiver,
-- GCWR and towing capacity. Its own gross rating and its weight are unchanged. A raised coach has a
-- number of its own: a million for each step.
SELECT f.coach_no + r.raise_no * 1000000 AS coach_no, f.property,
       CAST(f.low_kg + CASE WHEN m.property IS NULL THEN 0 ELSE r.kg END AS DECIMAL(18,10)) AS low_kg,
       CAST(f.high_kg + CASE WHEN m.property IS NULL THEN 0 ELSE r.kg END AS DECIMAL(18,10)) AS high_kg,
       f.is_none_stated, f.checked, f.key, f.read_from
FROM coach_figure AS f
CROSS JOIN raise AS r
LEFT JOIN raised_property AS m ON m.property = f.property
