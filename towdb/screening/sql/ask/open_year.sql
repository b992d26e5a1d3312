-- The model years of such groups, where a car's year is unknown.
SELECT DISTINCT p.candidate_no, UNNEST(RANGE(g.model_year_from, g.model_year_to + 1)) AS model_year
FROM possible AS p
JOIN configuration AS c ON c.configuration_no = p.configuration_no AND c.model_year IS NULL
JOIN towdb_data.group_fact AS g ON g.group_no = p.group_no
