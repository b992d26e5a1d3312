-- truth: Every step but a boxed warning carries the number or bullet that the page prints.
-- wrong: a step carries its printed number, a boxed warning none
-- severity: error
SELECT 'procedure_step' AS "table",
       procedure_step_id AS "key",
       'printed_no' AS "column",
       printed_no AS "value",
       CASE
           WHEN printed_no IS NULL
               THEN 'write the number; a bullet without one takes its place in the list'
           ELSE 'leave it empty'
       END AS "remedy"
FROM towdb_data.procedure_step
WHERE kind IS NOT NULL AND ((printed_no IS NULL) = (kind = 'warning')) IS NOT TRUE
