-- What decides, and why; what decides most cars first.
SELECT n.coach, t.verdict, t.governing_check, t.reason, CAST(SUM(t.cars) AS BIGINT) AS cars
FROM tally AS t
JOIN coach_name AS n ON n.coach_no = t.coach_no
WHERE t.raise_no = 0
GROUP BY n.coach_no, n.coach, t.verdict, t.governing_check, t.reason
ORDER BY n.coach_no, cars DESC, t.verdict, t.governing_check, t.reason
