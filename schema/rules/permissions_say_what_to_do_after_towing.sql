-- truth: A permission on four wheels has steps for after towing, or states that none are printed.
-- wrong: nothing states what to do after towing
-- severity: error
-- A car driven off with gearbox or fuses as for towing is harmed as surely as one towed wrongly.
SELECT 'eligibility' AS "table",
       e.eligibility_id AS "key",
       CASE WHEN e.same_steps_as IS NULL THEN 'steps_after' ELSE 'same_steps_as' END AS "column",
       CASE WHEN e.same_steps_as IS NULL THEN CAST(e.steps_after AS VARCHAR) ELSE e.same_steps_as
       END AS "value",
       'enter the steps of phase after, or write 0 where the page prints none' AS "remedy"
FROM towdb_data.eligibility AS e
JOIN towdb_data.eligibility AS holder
    ON holder.eligibility_id = coalesce(e.same_steps_as, e.eligibility_id)
LEFT JOIN (
    SELECT DISTINCT eligibility_id
    FROM towdb_data.procedure_step
    WHERE phase = 'after' AND kind <> 'warning'
) AS after_towing ON after_towing.eligibility_id = holder.eligibility_id
WHERE e.permission = 'permitted' AND e.towing_method = 'four_wheels_down'
  AND (after_towing.eligibility_id IS NOT NULL OR holder.steps_after = 0) IS NOT TRUE
