-- The groups of statements that permit and may apply, with what else than words they ask for.
SELECT DISTINCT s.configuration_no, a.group_no, g.vehicle_group_id,
       CASE WHEN c.model_year IS NULL THEN g.model_year_from END AS model_year,
       CASE WHEN f.built_from_no > c.built_low_no THEN g.built_from
            WHEN f.built_to_no <= c.built_high_no THEN g.built_to END AS built_on,
       g.options_with, g.options_without, f.has_further_condition = 1 AS has_further_condition
FROM applying_statement AS s
JOIN current_statement AS t ON t.statement_no = s.statement_no
JOIN applies AS a ON a.configuration_no = s.configuration_no AND a.group_no = t.group_no
JOIN configuration AS c ON c.configuration_no = s.configuration_no
JOIN towdb_data.group_fact AS f ON f.group_no = a.group_no
JOIN towdb_data.vehicle_group AS g ON g.vehicle_group_id = f.vehicle_group_id
WHERE s.stance = 'permits' AND a.sure = 0
ORDER BY s.configuration_no, a.group_no
