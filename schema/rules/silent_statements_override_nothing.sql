-- truth: A chapter that says nothing of towing replaces no statement.
-- wrong: a statement that says nothing overrides another
-- severity: error
SELECT 'eligibility' AS "table",
       eligibility_id AS "key",
       'overrides' AS "column",
       overrides AS "value",
       'leave it empty' AS "remedy"
FROM towdb_data.eligibility
WHERE permission = 'not_addressed' AND (overrides IS NULL) IS NOT TRUE
