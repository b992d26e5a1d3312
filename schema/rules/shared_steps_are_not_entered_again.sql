-- truth: A statement that shares the steps of another has and counts none of its own.
-- wrong: the statement has steps of its own and those of another
-- severity: error
WITH sharing AS (
    SELECT * FROM towdb_data.eligibility WHERE same_steps_as IS NOT NULL
),
own AS (
    SELECT eligibility_id, 'steps_before' AS column_name, CAST(steps_before AS VARCHAR) AS cell
    FROM sharing
    UNION ALL
    SELECT eligibility_id, 'steps_en_route', CAST(steps_en_route AS VARCHAR) FROM sharing
    UNION ALL
    SELECT eligibility_id, 'steps_after', CAST(steps_after AS VARCHAR) FROM sharing
    UNION ALL
    SELECT eligibility_id, 'fuse_pulls', CAST(fuse_pulls AS VARCHAR) FROM sharing
    UNION ALL
    SELECT eligibility_id, 'same_steps_as', same_steps_as
    FROM sharing
    WHERE eligibility_id IN (SELECT eligibility_id FROM towdb_data.procedure_step)
)
SELECT 'eligibility' AS "table",
       eligibility_id AS "key",
       column_name AS "column",
       cell AS "value",
       'leave it empty, or enter all steps here and share none' AS "remedy"
FROM own
WHERE (cell IS NULL) IS NOT TRUE
