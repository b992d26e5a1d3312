-- truth: Every figure has its unit beside it, and no unit stands alone.
-- wrong: a figure and its unit go together
-- severity: error
WITH figure AS (
    SELECT 'towing_limit' AS table_name, towing_limit_id AS row_key,
           'value' AS value_column, value AS figure, 'unit' AS unit_column, unit
    FROM towdb_data.towing_limit
    UNION ALL
    SELECT 'towing_limit', towing_limit_id, 'also_value', also_value, 'also_unit', also_unit
    FROM towdb_data.towing_limit
    UNION ALL
    SELECT 'procedure_step', procedure_step_id, 'value', value, 'unit', unit
    FROM towdb_data.procedure_step
    UNION ALL
    SELECT 'vehicle_property', vehicle_property_id, 'value', value, 'unit', unit
    FROM towdb_data.vehicle_property
    UNION ALL
    SELECT 'vehicle_property', vehicle_property_id, 'also_value', also_value, 'also_unit', also_unit
    FROM towdb_data.vehicle_property
    UNION ALL
    SELECT 'coach_property', coach_property_id, 'value', value, 'unit', unit
    FROM towdb_data.coach_property
    UNION ALL
    SELECT 'coach_property', coach_property_id, 'also_value', also_value, 'also_unit', also_unit
    FROM towdb_data.coach_property
    UNION ALL
    SELECT 'equipment_property', equipment_property_id, 'value', value, 'unit', unit
    FROM towdb_data.equipment_property
    UNION ALL
    SELECT 'equipment_property', equipment_property_id,
           'also_value', also_value, 'also_unit', also_unit
    FROM towdb_data.equipment_property
    UNION ALL
    SELECT 'equipment_fit', equipment_fit_id, 'tow_point_height', tow_point_height, 'unit', unit
    FROM towdb_data.equipment_fit
    UNION ALL
    SELECT 'towing_rule_term', towing_rule_term_id, 'value', value, 'unit', unit
    FROM towdb_data.towing_rule_term
    UNION ALL
    SELECT 'towing_rule_term', towing_rule_term_id, 'also_value', also_value, 'also_unit', also_unit
    FROM towdb_data.towing_rule_term
    UNION ALL
    SELECT 'towing_rule_term', towing_rule_term_id, 'plus_value', plus_value, 'plus_unit', plus_unit
    FROM towdb_data.towing_rule_term
    UNION ALL
    SELECT 'towing_rule_term', towing_rule_term_id,
           'test_speed', test_speed, 'test_speed_unit', test_speed_unit
    FROM towdb_data.towing_rule_term
)
SELECT table_name AS "table",
       row_key AS "key",
       CASE WHEN unit IS NULL THEN unit_column ELSE value_column END AS "column",
       NULL AS "value",
       CASE
           WHEN unit IS NULL THEN 'enter the unit that the page prints, or remove the figure'
           ELSE 'enter the figure, or remove the unit ' || unit
       END AS "remedy"
FROM figure
WHERE ((figure IS NULL) = (unit IS NULL)) IS NOT TRUE
