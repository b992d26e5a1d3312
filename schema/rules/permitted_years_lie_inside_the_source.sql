-- truth: The model years that a statement permits are inside those of its source.
-- wrong: the source is not for this model year
-- severity: error
-- A source without years is reported as such.
WITH permitted AS (
    SELECT DISTINCT g.vehicle_group_id, g.model_year_from, g.model_year_to,
           s.source_id, s.model_year_from AS first_year, s.model_year_to AS last_year
    FROM towdb_data.eligibility AS e
    JOIN towdb_data.vehicle_group AS g ON g.vehicle_group_id = e.vehicle_group_id
    JOIN towdb_data.source AS s ON s.source_id = e.source_id
    WHERE e.permission = 'permitted'
),
bound AS (
    SELECT vehicle_group_id, source_id, first_year, last_year,
           'model_year_from' AS column_name, model_year_from AS model_year
    FROM permitted
    UNION ALL
    SELECT vehicle_group_id, source_id, first_year, last_year, 'model_year_to', model_year_to
    FROM permitted
)
SELECT 'vehicle_group' AS "table",
       vehicle_group_id AS "key",
       column_name AS "column",
       model_year AS "value",
       source_id || ' is for ' || first_year || ' to ' || last_year
           || ': keep to these years, or cite the manual of the others' AS "remedy"
FROM bound
WHERE first_year IS NOT NULL AND last_year IS NOT NULL
  AND (model_year BETWEEN first_year AND last_year) IS NOT TRUE
