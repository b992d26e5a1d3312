-- Where the limits, steps and fuses of open_statement are printed.
SELECT i.eligibility_id, i.table_name AS "table", i.row_key AS key, i.source_id, i.locator, s.title,
       i.quote
FROM towdb_data.instruction AS i
JOIN open_statement AS a ON a.eligibility_id = i.eligibility_id
JOIN towdb_data.source AS s ON s.source_id = i.source_id
