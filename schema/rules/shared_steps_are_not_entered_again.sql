-- truth: A statement that shares the steps of another has and counts none of its own.
-- wrong: the statement has steps of its own and those of another
-- severity: error
WITH own AS (
    SELECT eligibility_id, column_name, CAST(printed AS VARCHAR) AS cell
    FROM towdb_data.printed_count
    WHERE is_shared
    UNION ALL
    SELECT eligibility_id, 'same_steps_as', same_steps_as
    FROM towdb_data.eligibility
    WHERE same_steps_as IS NOT NULL
      AND eligibility_id IN (SELECT eligibility_id FROM towdb_data.procedure_step)
)
SELECT 'eligibility' AS "table",
       eligibility_id AS "key",
       column_name AS "column",
       cell AS "value",
       'leave it empty, or enter all steps here and share none' AS "remedy"
FROM own
WHERE (cell IS NULL) IS NOT TRUE
