-- truth: A second figure is a first one printed again in another unit.
-- wrong: a second figure without a first
-- severity: error
SELECT b.table_name AS "table",
       b.row_key AS "key",
       a.column_name AS "column",
       a.value AS "value",
       'enter the first figure, or move ' || b.value || ' there' AS "remedy"
FROM towdb_data.figure_cell AS b
JOIN towdb_data.figure_cell AS a
    ON a.table_name = b.table_name AND a.row_key = b.row_key
   AND b.column_name = 'also_' || a.column_name
WHERE b.value IS NOT NULL AND (a.value IS NOT NULL) IS NOT TRUE
