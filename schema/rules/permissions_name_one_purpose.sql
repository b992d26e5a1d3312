-- truth: A permission states whether it is for recreational towing or for an emergency.
-- wrong: a permission for any purpose
-- severity: error
SELECT 'eligibility' AS "table",
       eligibility_id AS "key",
       'purpose' AS "column",
       purpose AS "value",
       'write recreational or emergency, as the section means; or enter one statement for each'
           AS "remedy"
FROM towdb_data.eligibility
WHERE permission = 'permitted' AND purpose IS NOT NULL
  AND (purpose <> 'any') IS NOT TRUE
