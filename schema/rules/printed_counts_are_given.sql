-- truth: A permission on four wheels states how many steps, fuses and limits its page prints.
-- wrong: a permission without the count of what its page prints
-- severity: error
-- Without the count nobody would notice a step that was never entered.
SELECT 'eligibility' AS "table",
       e.eligibility_id AS "key",
       p.column_name AS "column",
       NULL AS "value",
       'count them on the page and write the number, 0 where it prints none' AS "remedy"
FROM towdb_data.eligibility AS e
JOIN towdb_data.printed_count AS p ON p.eligibility_id = e.eligibility_id
WHERE e.permission = 'permitted' AND e.towing_method = 'four_wheels_down' AND NOT p.is_shared
  AND (p.printed IS NOT NULL) IS NOT TRUE
