-- The printed conditions of such groups that a person has to check on the car itself.
SELECT DISTINCT p.candidate_no, g.vehicle_group_id, v.further_condition
FROM possible AS p
JOIN towdb_data.group_fact AS g ON g.group_no = p.group_no AND g.has_further_condition = 1
JOIN towdb_data.vehicle_group AS v ON v.vehicle_group_id = g.vehicle_group_id
LEFT JOIN configuration_confirmed AS f
  ON f.configuration_no = p.configuration_no AND f.group_no = p.group_no
WHERE f.group_no IS NULL
