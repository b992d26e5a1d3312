-- Each configuration with the groups of its make and model that neither its model year nor its
-- build date excludes, and how many of these conditions stay open.
SELECT c.configuration_no, g.group_no,
       CASE WHEN c.model_year IS NULL THEN 1 ELSE 0 END
       + CASE WHEN c.built_low_no < g.built_from_no THEN 1 ELSE 0 END
       + CASE WHEN c.built_high_no >= g.built_to_no THEN 1 ELSE 0 END
       + CASE WHEN g.has_further_condition = 1 AND f.group_no IS NULL THEN 1 ELSE 0 END AS unknowns
FROM configuration AS c
JOIN towdb_data.group_fact AS g ON g.make_model_no = c.make_model_no
LEFT JOIN configuration_confirmed AS f
  ON f.configuration_no = c.configuration_no AND f.group_no = g.group_no
WHERE (c.model_year IS NULL
       OR (c.model_year >= g.model_year_from AND c.model_year <= g.model_year_to))
  AND (g.built_from_no IS NULL OR c.built_high_no >= g.built_from_no)
  AND (g.built_to_no IS NULL OR c.built_low_no < g.built_to_no)
