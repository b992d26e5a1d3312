-- truth: The steps of a phase, and of a general sequence, are numbered 1, 2, 3 and so on.
-- wrong: the step number does not follow the previous one
-- severity: error
WITH numbered AS (
    SELECT 'procedure_step' AS table_name, procedure_step_id AS row_key, step_no,
           lag(step_no, 1, 0) OVER (
               PARTITION BY eligibility_id, phase ORDER BY step_no, procedure_step_id
           ) AS step_before
    FROM towdb_data.procedure_step
    WHERE step_no IS NOT NULL
    UNION ALL
    SELECT 'general_step', general_step_id, step_no,
           lag(step_no, 1, 0) OVER (PARTITION BY sequence ORDER BY step_no, general_step_id)
    FROM towdb_data.general_step
    WHERE step_no IS NOT NULL
)
SELECT table_name AS "table",
       row_key AS "key",
       'step_no' AS "column",
       step_no AS "value",
       CASE
           WHEN step_before = 0 THEN 'the first step has the number 1'
           ELSE 'the step before has ' || step_before || ', so ' || (step_before + 1)
               || ' comes next'
       END AS "remedy"
FROM numbered
WHERE (step_no = step_before + 1) IS NOT TRUE
