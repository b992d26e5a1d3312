-- The checks that are open about undetermined cars, and whether car and coach have been weighed.
SELECT k.candidate_no, k.coach_no, k.check_no, k.check_name, k.reason,
       n.as_weighed_kg IS NOT NULL AS car_is_weighed,
       r.weighed_high_kg IS NOT NULL AS coach_is_weighed
FROM decision_check AS k
JOIN decision AS d
  ON d.candidate_no = k.candidate_no AND d.coach_no = k.coach_no AND d.verdict = 'undetermined'
JOIN candidate AS n ON n.candidate_no = k.candidate_no
JOIN coach_rating AS r ON r.coach_no = k.coach_no
WHERE k.outcome = 'unknown'
ORDER BY k.candidate_no, k.coach_no, k.check_no
