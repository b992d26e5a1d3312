-- The most that a car may weigh behind a coach, where its weight is what is open: the coach's capacity,
-- and the car's own gross rating where that is known for sure.
SELECT d.candidate_no, d.coach_no,
       CASE WHEN t.gross_kg < c.capacity_kg THEN t.gross_kg ELSE c.capacity_kg END AS most_kg
FROM decision AS d
JOIN coach_capacity AS c ON c.coach_no = d.coach_no AND c.capacity_kg > 0
JOIN (
    SELECT n.candidate_no,
           COALESCE(n.gvwr_kg, CASE WHEN a.gvwr_is_sure_and_checked = 1 THEN a.gvwr_least_kg END)
               AS gross_kg
    FROM candidate AS n
    JOIN configuration_answer AS a ON a.configuration_no = n.configuration_no
    WHERE n.as_weighed_kg IS NULL
) AS t ON t.candidate_no = d.candidate_no
WHERE d.receiver_reason IN ('depends_on_the_weight', 'weight_unknown')
   OR d.combination_reason IN ('depends_on_the_weight', 'weight_unknown')
   OR d.capacity_reason IN ('depends_on_the_weight', 'weight_unknown')
ORDER BY d.candidate_no, d.coach_no
