-- truth: A limit has a figure exactly when the page states a number.
-- wrong: a figure goes with a limit that is stated as a number
-- severity: error
SELECT 'towing_limit' AS "table",
       towing_limit_id AS "key",
       'value' AS "column",
       value AS "value",
       CASE
           WHEN value IS NULL THEN 'enter the number and its unit'
           ELSE 'remove the figure and its unit, or write number under stated'
       END AS "remedy"
FROM towdb_data.towing_limit
WHERE stated IS NOT NULL AND ((value IS NOT NULL) = (stated = 'number')) IS NOT TRUE
