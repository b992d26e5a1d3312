-- The printed conditions that a person has to see on the car itself.
SELECT DISTINCT a.configuration_no, g.vehicle_group_id AS answer, v.further_condition AS said
FROM applies AS a
JOIN towdb_data.group_fact AS g ON g.group_no = a.group_no AND g.has_further_condition = 1
JOIN towdb_data.vehicle_group AS v ON v.vehicle_group_id = g.vehicle_group_id
LEFT JOIN configuration_confirmed AS f
  ON f.configuration_no = a.configuration_no AND f.group_no = a.group_no
WHERE a.sure = 0 AND f.group_no IS NULL
  AND a.group_no IN (SELECT group_no FROM current_statement)
ORDER BY a.configuration_no, g.vehicle_group_id
