-- truth: A fuse is pulled in a step whose component is the fuse.
-- wrong: the step is not about a fuse
-- severity: error
SELECT 'fuse_pull' AS "table",
       f.fuse_pull_id AS "key",
       'procedure_step_id' AS "column",
       f.procedure_step_id AS "value",
       'point at the step that pulls it, or write fuse as the component of that step' AS "remedy"
FROM towdb_data.fuse_pull AS f
JOIN towdb_data.procedure_step AS s ON s.procedure_step_id = f.procedure_step_id
WHERE (s.component = 'fuse') IS NOT TRUE
