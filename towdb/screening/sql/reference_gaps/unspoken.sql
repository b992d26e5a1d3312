-- One car for each model year between the first and the last on record of a model of which no page on
-- towing it with four wheels down behind another vehicle is on record.
WITH model AS (
    SELECT f.make_model_no, MIN(g.make) AS make, MIN(g.model) AS model,
           MIN(g.model_year_from) AS first, MAX(g.model_year_to) AS last
    FROM towdb_data.vehicle_group AS g
    JOIN towdb_data.group_fact AS f ON f.vehicle_group_id = g.vehicle_group_id
    GROUP BY f.make_model_no
),
year AS (
    SELECT make_model_no, make, model, UNNEST(RANGE(first, last + 1)) AS model_year FROM model
)
SELECT y.make, y.model, CAST(y.model_year AS VARCHAR) AS model_year
FROM year AS y
WHERE NOT EXISTS (
    SELECT 1
    FROM towdb_data.group_fact AS g
    JOIN towdb_data.statement_fact AS s ON s.group_no = g.group_no
    WHERE g.make_model_no = y.make_model_no
      AND y.model_year BETWEEN g.model_year_from AND g.model_year_to
      AND s.is_on_flat_towing = 1
)
ORDER BY y.make, y.model, y.model_year
