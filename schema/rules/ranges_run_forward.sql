-- truth: The first year or day of a range is not after the last one.
-- wrong: the range runs backward
-- severity: error
WITH bounds AS (
    SELECT 'source' AS table_name, source_id AS row_key, 'model_year_to' AS column_name,
           CAST(model_year_from AS VARCHAR) AS first, CAST(model_year_to AS VARCHAR) AS last,
           model_year_from <= model_year_to AS forward
    FROM towdb_data.source
    UNION ALL
    SELECT 'source', source_id, 'withdrawn_on',
           CAST(published_on AS VARCHAR), CAST(withdrawn_on AS VARCHAR),
           published_on <= withdrawn_on
    FROM towdb_data.source
    UNION ALL
    SELECT 'vehicle_group', vehicle_group_id, 'model_year_to',
           CAST(model_year_from AS VARCHAR), CAST(model_year_to AS VARCHAR),
           model_year_from <= model_year_to
    FROM towdb_data.vehicle_group
    UNION ALL
    SELECT 'vehicle_group', vehicle_group_id, 'built_to',
           CAST(built_from AS VARCHAR), CAST(built_to AS VARCHAR),
           built_from <= built_to
    FROM towdb_data.vehicle_group
    UNION ALL
    SELECT 'towing_rule', towing_rule_id, 'effective_to',
           CAST(effective_from AS VARCHAR), CAST(effective_to AS VARCHAR),
           effective_from <= effective_to
    FROM towdb_data.towing_rule
)
SELECT table_name AS "table",
       row_key AS "key",
       column_name AS "column",
       last AS "value",
       'it begins with ' || first || ': correct one of the two' AS "remedy"
FROM bounds
WHERE first IS NOT NULL AND last IS NOT NULL AND forward IS NOT TRUE
