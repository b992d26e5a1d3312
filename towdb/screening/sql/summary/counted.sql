-- Verdicts of all cars (0) and of each group, behind each coach, as it is and with higher ratings.
SELECT CAST(t.raise_no AS INTEGER) AS raise_no, n.coach_no, n.coach, t.group_no,
       CAST(SUM(t.cars) AS BIGINT) AS cars,
       CAST(SUM(CASE WHEN t.verdict = 'suitable' THEN t.cars ELSE 0 END) AS BIGINT) AS suitable,
       CAST(SUM(CASE WHEN t.verdict = 'not_suitable' THEN t.cars ELSE 0 END) AS BIGINT) AS not_suitable,
       CAST(SUM(CASE WHEN t.verdict = 'undetermined' THEN t.cars ELSE 0 END) AS BIGINT) AS undetermined
FROM (
    SELECT * FROM tally
    UNION ALL
    SELECT * REPLACE (0 AS group_no) FROM tally
) AS t
JOIN coach_name AS n ON n.coach_no = t.coach_no
WHERE t.group_no IS NOT NULL
GROUP BY t.raise_no, n.coach_no, n.coach, t.group_no
