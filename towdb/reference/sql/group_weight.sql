-- The gross ratings and curb weights of groups, exact, as screening compares them.
-- low_kg, high_kg: where a page prints two units, the lighter and the heavier figure
-- checked: 1 if the row, its group and their sources have been checked, else 0
SELECT p.vehicle_property_id, g.group_no, p.property,
       CAST(MIN(f.canonical) AS DECIMAL(18,10)) AS low_kg,
       CAST(MAX(f.canonical) AS DECIMAL(18,10)) AS high_kg,
       MAX(CASE WHEN c.row_key IS NOT NULL THEN 1 ELSE 0 END) AS checked
FROM towdb_data.vehicle_property AS p
JOIN towdb_data.figure AS f
  ON f.table_name = 'vehicle_property' AND f.row_key = p.vehicle_property_id
JOIN towdb_data.group_fact AS g ON g.vehicle_group_id = p.vehicle_group_id
LEFT JOIN towdb_data.checked_row AS c
  ON c.table_name = 'vehicle_property' AND c.row_key = p.vehicle_property_id
WHERE p.property IN ('gvwr', 'curb_weight')
GROUP BY p.vehicle_property_id, g.group_no, p.property
ORDER BY g.group_no, p.vehicle_property_id
