-- truth: A recreational statement is not under a heading about emergencies.
-- wrong: the heading is about an emergency, the purpose is not
-- severity: warning
SELECT 'eligibility' AS "table",
       eligibility_id AS "key",
       'purpose' AS "column",
       purpose AS "value",
       'the heading is "' || section_heading || '": is the purpose emergency?' AS "remedy"
FROM towdb_data.eligibility
WHERE purpose = 'recreational'
  AND regexp_matches(
      towdb_data.fold(section_heading),
      '\b(emergenc(y|ies)|break-?downs?|disabled|stranded|roadside|recover(y|ies))\b'
  )
