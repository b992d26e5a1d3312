-- How many cars of each group have which verdict behind which coach, and what governs it.
SELECT d.coach_no // 1000000 AS raise_no, d.coach_no % 1000000 AS coach_no, p.group_no, d.verdict,
       d.governing_check,
       CASE d.governing_check
           WHEN 'permission' THEN d.permission_reason
           WHEN 'procedure' THEN d.procedure_reason
           WHEN 'hitch_receiver' THEN d.receiver_reason
           WHEN 'combination_rating' THEN d.combination_reason
           WHEN 'towing_capacity' THEN d.capacity_reason
           WHEN 'coach_gross' THEN d.coach_gross_reason
           ELSE d.towed_gross_reason
       END AS reason,
       SUM(p.cars) AS cars
FROM verdict_kg AS d
JOIN car_class AS p ON p.car_class_no = d.candidate_no
GROUP BY ALL
