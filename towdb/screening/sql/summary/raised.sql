-- What a higher rating would add. adds: cars that it makes suitable.
SELECT c.coach, c.group_no, r.raised_lb, c.suitable, c.not_suitable, c.undetermined,
       c.suitable - b.suitable AS adds
FROM counted AS c
JOIN counted AS b ON b.raise_no = 0 AND b.coach_no = c.coach_no AND b.group_no = c.group_no
JOIN raise AS r ON r.raise_no = c.raise_no
WHERE c.raise_no > 0
ORDER BY c.coach_no, r.raise_no, c.group_no
