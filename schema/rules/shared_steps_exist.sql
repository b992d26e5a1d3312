-- truth: same_steps_as points at another statement that has steps of its own.
-- wrong: the statement pointed at has no steps of its own
-- severity: error
SELECT 'eligibility' AS "table",
       e.eligibility_id AS "key",
       'same_steps_as' AS "column",
       e.same_steps_as AS "value",
       'point at the statement under which the steps are entered' AS "remedy"
FROM towdb_data.eligibility AS e
JOIN towdb_data.eligibility AS holder ON holder.eligibility_id = e.same_steps_as
LEFT JOIN (SELECT DISTINCT eligibility_id FROM towdb_data.procedure_step) AS step
    ON step.eligibility_id = holder.eligibility_id
WHERE (step.eligibility_id IS NOT NULL AND holder.eligibility_id <> e.eligibility_id) IS NOT TRUE
