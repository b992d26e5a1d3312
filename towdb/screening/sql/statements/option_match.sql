-- The same for the options that a group requires present or absent.
SELECT p.configuration_no, p.group_no,
       SUM(CASE WHEN k.is_present <> o.wanted THEN 1 ELSE 0 END) AS falses,
       SUM(CASE WHEN k.is_present IS NULL THEN 1 ELSE 0 END) AS unknowns
FROM pair AS p
JOIN towdb_data.group_option AS o ON o.group_no = p.group_no
LEFT JOIN configuration_option AS k
  ON k.configuration_no = p.configuration_no AND k.option_no = o.option_no
GROUP BY p.configuration_no, p.group_no
