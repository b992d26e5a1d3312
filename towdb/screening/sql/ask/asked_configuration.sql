-- The decisions that are open, one for all cars of a configuration: the first car stands for them.
WITH first AS (
    SELECT coach_no, MIN(candidate_no) AS candidate_no, COUNT(*) AS cars
    FROM decision
    WHERE verdict = 'undetermined'
    GROUP BY configuration_no, coach_no
)
SELECT d.*, f.cars
FROM first AS f
JOIN decision AS d ON d.candidate_no = f.candidate_no AND d.coach_no = f.coach_no
