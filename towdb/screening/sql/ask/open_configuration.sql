-- The verdicts that are open, one for all cars of a configuration whose checks all agree: the first
-- car represents them. Those of the most cars first.
WITH alike AS (
    SELECT coach_no, MIN(candidate_no) AS candidate_no, COUNT(*) AS cars
    FROM verdict_kg
    WHERE verdict = 'undetermined'
    GROUP BY coach_no, configuration_no, permission_reason, procedure_reason, receiver_reason,
             combination_reason, capacity_reason, coach_gross_reason, towed_gross_reason
)
SELECT d.*, a.cars
FROM alike AS a
JOIN verdict_kg AS d ON d.candidate_no = a.candidate_no AND d.coach_no = a.coach_no
ORDER BY a.cars DESC, a.coach_no, a.candidate_no
