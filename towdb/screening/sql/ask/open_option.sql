-- The options that a car may have or not, where they matter for such a group.
SELECT DISTINCT p.candidate_no, n.option
FROM possible AS p
JOIN towdb_data.group_option AS o ON o.group_no = p.group_no
JOIN towdb_data.option_number AS n ON n.option_no = o.option_no
LEFT JOIN configuration_option AS k
  ON k.configuration_no = p.configuration_no AND k.option_no = o.option_no
WHERE k.is_present IS NULL
