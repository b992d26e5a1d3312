-- truth: A chapter that does not mention towing replaces no statement.
-- wrong: a chapter that does not mention towing overrides a statement
-- severity: error
SELECT 'eligibility' AS "table",
       eligibility_id AS "key",
       'overrides' AS "column",
       overrides AS "value",
       'leave it empty' AS "remedy"
FROM towdb_data.eligibility
WHERE permission = 'not_addressed' AND (overrides IS NULL) IS NOT TRUE
