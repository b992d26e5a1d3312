-- truth: A checked row states who checked it and when.
-- wrong: a check needs both a name and a day
-- severity: error
SELECT table_name AS "table",
       row_key AS "key",
       CASE WHEN checked_by IS NULL THEN 'checked_by' ELSE 'checked_on' END AS "column",
       NULL AS "value",
       CASE
           WHEN checked_by IS NULL
               THEN 'enter who checked it on ' || checked_on || ', or remove the day'
           ELSE 'enter when ' || checked_by || ' checked it, or remove the name'
       END AS "remedy"
FROM towdb_data.entry_row
WHERE ((checked_by IS NULL) = (checked_on IS NULL)) IS NOT TRUE
