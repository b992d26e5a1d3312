-- truth: Every id names a row of the table that it points at.
-- wrong: no row has this id
-- severity: error
SELECT l.table_name AS "table",
       l.row_key AS "key",
       l.column_name AS "column",
       l.target AS "value",
       'enter the ' || replace(l.target_table, '_', ' ') || ' ' || l.target
           || ' first, or correct the id' AS "remedy"
FROM towdb_data.link AS l
LEFT JOIN (SELECT DISTINCT target_table, target FROM towdb_data.known_key) AS k
    ON k.target_table = l.target_table AND k.target = l.target
WHERE (k.target IS NOT NULL) IS NOT TRUE
