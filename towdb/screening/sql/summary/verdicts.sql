-- How many cars have which verdict.
SELECT c.coach, c.group_no, c.cars, c.suitable, c.not_suitable, c.undetermined
FROM counted AS c
WHERE c.raise_no = 0
ORDER BY c.coach_no, c.group_no
