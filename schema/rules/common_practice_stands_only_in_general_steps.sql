-- truth: Only a step of the general sequence may rest on common practice.
-- wrong: this may not rest on common practice
-- severity: error
SELECT table_name AS "table",
       row_key AS "key",
       'basis' AS "column",
       basis AS "value",
       'cite the page that states it, or remove the row' AS "remedy"
FROM towdb_data.entry_row
WHERE basis = 'common_practice' AND (table_name = 'general_step') IS NOT TRUE
