-- Model years of groups with a current statement that a car of unknown year may belong to.
SELECT DISTINCT a.configuration_no, UNNEST(RANGE(g.model_year_from, g.model_year_to + 1)) AS answer
FROM applies AS a
JOIN configuration AS c ON c.configuration_no = a.configuration_no AND c.model_year IS NULL
JOIN towdb_data.group_fact AS g ON g.group_no = a.group_no
WHERE a.group_no IN (SELECT group_no FROM current_statement)
ORDER BY a.configuration_no, answer
