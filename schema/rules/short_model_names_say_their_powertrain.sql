-- truth: A model states its powertrain if another model of its year begins with its name.
-- wrong: this may be taken to cover another model too
-- severity: warning
WITH model AS (
    SELECT DISTINCT towdb_data.fold(make) AS make,
           split_part(towdb_data.fold(model), ' ', 1) AS first_word, model AS printed,
           model_year_from, model_year_to
    FROM towdb_data.vehicle_group
    WHERE towdb_data.fold(model) LIKE '% %'
)
SELECT 'vehicle_group' AS "table",
       g.vehicle_group_id AS "key",
       'powertrain' AS "column",
       any_value(g.powertrain) AS "value",
       'there is also the model ' || min(m.printed)
           || ': write the powertrain that this page means' AS "remedy"
FROM towdb_data.vehicle_group AS g
JOIN model AS m
    ON m.make = towdb_data.fold(g.make)
   AND m.first_word = towdb_data.fold(g.model)
   AND m.model_year_from <= g.model_year_to
   AND g.model_year_from <= m.model_year_to
WHERE (coalesce(g.powertrain, g.otherwise, '') <> 'any') IS NOT TRUE
GROUP BY g.vehicle_group_id
