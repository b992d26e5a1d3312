-- truth: A step of kind slot names its slot, for every outfit, and no other step does.
-- wrong: a slot goes with a step of kind slot, whatever the outfit
-- severity: error
SELECT 'general_step' AS "table",
       general_step_id AS "key",
       'slot' AS "column",
       slot AS "value",
       CASE WHEN slot IS NULL THEN 'name the slot' ELSE 'leave it empty, or write slot as the kind'
       END AS "remedy"
FROM towdb_data.general_step
WHERE kind IS NOT NULL AND ((slot IS NOT NULL) = (kind = 'slot')) IS NOT TRUE
UNION ALL
-- A slot that depends on a part would hide the car's own steps from an outfit without it.
SELECT 'general_step', general_step_id, 'only_if', only_if, 'leave it empty'
FROM towdb_data.general_step
WHERE kind = 'slot' AND (only_if IS NULL) IS NOT TRUE
