-- truth: A step of the general sequence states what to do, in words of its own or quoted.
-- wrong: the step has no text
-- severity: error
SELECT 'general_step' AS "table",
       general_step_id AS "key",
       'text' AS "column",
       "text" AS "value",
       'write the step in plain words' AS "remedy"
FROM towdb_data.general_step
WHERE kind IS NOT NULL
  AND (kind = 'slot' OR "text" IS NOT NULL OR quote IS NOT NULL) IS NOT TRUE
