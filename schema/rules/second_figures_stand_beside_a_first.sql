-- truth: A second figure is a first one printed again in another unit.
-- wrong: the second figure stands without a first
-- severity: error
WITH pair AS (
    SELECT 'towing_limit' AS table_name, towing_limit_id AS row_key, value, also_value
    FROM towdb_data.towing_limit
    UNION ALL
    SELECT 'vehicle_property', vehicle_property_id, value, also_value
    FROM towdb_data.vehicle_property
    UNION ALL
    SELECT 'coach_property', coach_property_id, value, also_value
    FROM towdb_data.coach_property
    UNION ALL
    SELECT 'equipment_property', equipment_property_id, value, also_value
    FROM towdb_data.equipment_property
    UNION ALL
    SELECT 'towing_rule_term', towing_rule_term_id, value, also_value
    FROM towdb_data.towing_rule_term
)
SELECT table_name AS "table",
       row_key AS "key",
       'value' AS "column",
       value AS "value",
       'enter the first figure, or move ' || also_value || ' there' AS "remedy"
FROM pair
WHERE also_value IS NOT NULL AND (value IS NOT NULL) IS NOT TRUE
