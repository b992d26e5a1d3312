-- The seven checks as rows.
SELECT candidate_no, coach_no, 1 AS check_no, 'permission' AS check_name,
       permission_outcome AS outcome, permission_reason AS reason,
       CAST(NULL AS DECIMAL(18,10)) AS value_kg, CAST(NULL AS DECIMAL(18,10)) AS limit_kg,
       CAST(NULL AS DECIMAL(18,10)) AS margin_kg
FROM verdict_kg
UNION ALL
SELECT candidate_no, coach_no, 2, 'procedure', procedure_outcome, procedure_reason, NULL, NULL, NULL
FROM verdict_kg
UNION ALL
SELECT candidate_no, coach_no, 3, 'hitch_receiver', receiver_outcome, receiver_reason,
       receiver_value_kg, receiver_limit_kg, receiver_margin_kg
FROM verdict_kg
UNION ALL
SELECT candidate_no, coach_no, 4, 'combination_rating', combination_outcome, combination_reason,
       combination_value_kg, combination_limit_kg, combination_margin_kg
FROM verdict_kg
UNION ALL
SELECT candidate_no, coach_no, 5, 'towing_capacity', capacity_outcome, capacity_reason,
       capacity_value_kg, capacity_limit_kg, capacity_margin_kg
FROM verdict_kg
UNION ALL
SELECT candidate_no, coach_no, 6, 'coach_gross', coach_gross_outcome, coach_gross_reason,
       coach_gross_value_kg, coach_gross_limit_kg, coach_gross_margin_kg
FROM verdict_kg
UNION ALL
SELECT candidate_no, coach_no, 7, 'towed_gross', towed_gross_outcome, towed_gross_reason,
       towed_gross_value_kg, towed_gross_limit_kg, towed_gross_margin_kg
FROM verdict_kg
