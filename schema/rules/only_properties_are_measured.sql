-- truth: Only a property of a vehicle, coach or part may be measured; the rest is printed.
-- wrong: this cannot be measured
-- severity: error
SELECT table_name AS "table",
       row_key AS "key",
       'basis' AS "column",
       basis AS "value",
       'write cited, and quote the page' AS "remedy"
FROM towdb_data.entry_row
WHERE basis = 'measured'
  AND (table_name IN ('vehicle_property', 'coach_property', 'equipment_property')) IS NOT TRUE
