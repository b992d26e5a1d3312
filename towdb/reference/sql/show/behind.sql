-- The rows behind a row that an answer cites: its parts, its group, and their sources.
SELECT 'eligibility' AS table_name, eligibility_id AS row_key, table_name AS behind_table,
       row_key AS behind_key
FROM towdb_data.statement_part
UNION ALL
SELECT 'vehicle_property', vehicle_property_id, 'vehicle_group', vehicle_group_id
FROM towdb_data.vehicle_property
UNION ALL
SELECT 'vehicle_property', p.vehicle_property_id, 'source', g.source_id
FROM towdb_data.vehicle_property AS p
JOIN towdb_data.vehicle_group AS g ON g.vehicle_group_id = p.vehicle_group_id
UNION ALL
SELECT table_name, row_key, 'source', source_id
FROM towdb_data.entry_row
WHERE source_id IS NOT NULL
