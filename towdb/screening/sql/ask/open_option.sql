-- The options of which it is not known whether a car has them, where a group that it may belong to cares.
SELECT DISTINCT a.configuration_no, n.option AS answer
FROM applies AS a
JOIN towdb_data.group_option AS o ON o.group_no = a.group_no
JOIN towdb_data.option_number AS n ON n.option_no = o.option_no
LEFT JOIN configuration_option AS k
  ON k.configuration_no = a.configuration_no AND k.option_no = o.option_no
WHERE a.sure = 0 AND k.there IS NULL
  AND a.group_no IN (SELECT group_no FROM current_statement)
ORDER BY a.configuration_no, n.option
