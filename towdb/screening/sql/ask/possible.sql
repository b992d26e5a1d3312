-- The groups with a current statement to which such a car may belong.
SELECT q.candidate_no, q.configuration_no, a.group_no, g.make_model_no
FROM open_car AS q
JOIN applies AS a ON a.configuration_no = q.configuration_no
JOIN towdb_data.group_fact AS g ON g.group_no = a.group_no
WHERE a.is_certain = 0 AND a.group_no IN (SELECT group_no FROM current_statement)
