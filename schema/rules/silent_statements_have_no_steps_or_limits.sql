-- truth: A chapter that does not mention towing prints neither steps nor limits for it.
-- wrong: steps or limits for a chapter that does not mention towing
-- severity: error
WITH prints AS (
    SELECT eligibility_id FROM towdb_data.procedure_step
    UNION
    SELECT eligibility_id FROM towdb_data.towing_limit
)
SELECT 'eligibility' AS "table",
       e.eligibility_id AS "key",
       'permission' AS "column",
       e.permission AS "value",
       'write what the page says about it, or remove the steps and limits' AS "remedy"
FROM towdb_data.eligibility AS e
LEFT JOIN prints AS p ON p.eligibility_id = e.eligibility_id
WHERE e.permission = 'not_addressed'
  AND (p.eligibility_id IS NULL AND e.same_steps_as IS NULL) IS NOT TRUE
