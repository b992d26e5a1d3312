-- truth: A permission on four wheels says how many steps, fuses and limits its page prints.
-- wrong: a permission without the number that its page prints
-- severity: error
-- Without the count nobody would notice a step that was never entered.
WITH printed AS (
    SELECT eligibility_id, towing_method, permission, same_steps_as,
           'steps_before' AS column_name, steps_before AS printed
    FROM towdb_data.eligibility
    UNION ALL
    SELECT eligibility_id, towing_method, permission, same_steps_as,
           'steps_en_route', steps_en_route
    FROM towdb_data.eligibility
    UNION ALL
    SELECT eligibility_id, towing_method, permission, same_steps_as, 'steps_after', steps_after
    FROM towdb_data.eligibility
    UNION ALL
    SELECT eligibility_id, towing_method, permission, same_steps_as, 'fuse_pulls', fuse_pulls
    FROM towdb_data.eligibility
    UNION ALL
    -- The steps of another statement are counted there; limits are always the statement's own.
    SELECT eligibility_id, towing_method, permission, NULL, 'limits', limits
    FROM towdb_data.eligibility
)
SELECT 'eligibility' AS "table",
       eligibility_id AS "key",
       column_name AS "column",
       NULL AS "value",
       'count them on the page and write the number, 0 where it prints none' AS "remedy"
FROM printed
WHERE permission = 'permitted' AND towing_method = 'four_wheels_down' AND same_steps_as IS NULL
  AND (printed IS NOT NULL) IS NOT TRUE
