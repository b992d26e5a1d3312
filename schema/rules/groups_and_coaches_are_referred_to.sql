-- truth: Every group and every coach has a row that refers to it.
-- wrong: nothing refers to it, so only half of its page may have been entered
-- severity: warning
WITH owner AS (
    SELECT 'vehicle_group' AS table_name, vehicle_group_id AS row_key,
           'every statement and property of it' AS lacking
    FROM towdb_data.vehicle_group
    UNION ALL
    SELECT 'coach', coach_id, 'its ratings and weights' FROM towdb_data.coach
)
SELECT o.table_name AS "table",
       o.row_key AS "key",
       o.table_name || '_id' AS "column",
       o.row_key AS "value",
       'enter ' || o.lacking || ' that the page prints, or remove the row' AS "remedy"
FROM owner AS o
LEFT JOIN towdb_data.link AS l
    ON l.column_name = o.table_name || '_id' AND l.target = o.row_key
WHERE (l.target IS NOT NULL) IS NOT TRUE
