-- truth: A vehicle, coach or part has only properties of such a thing.
-- wrong: such a thing has no property of this name
-- severity: error
WITH stated AS (
    SELECT 'vehicle_property' AS table_name, vehicle_property_id AS row_key, property
    FROM towdb_data.vehicle_property
    UNION ALL
    SELECT 'coach_property', coach_property_id, property FROM towdb_data.coach_property
    UNION ALL
    SELECT 'equipment_property', equipment_property_id, property
    FROM towdb_data.equipment_property
),
offered AS (
    SELECT table_name, string_agg(word, ', ' ORDER BY word) AS words
    FROM towdb_data.demand
    GROUP BY table_name
)
SELECT s.table_name AS "table",
       s.row_key AS "key",
       'property' AS "column",
       s.property AS "value",
       'use one of ' || o.words AS "remedy"
FROM stated AS s
JOIN offered AS o ON o.table_name = s.table_name
LEFT JOIN towdb_data.demand AS d ON d.table_name = s.table_name AND d.word = s.property
WHERE s.property IS NOT NULL AND (d.word IS NOT NULL) IS NOT TRUE
