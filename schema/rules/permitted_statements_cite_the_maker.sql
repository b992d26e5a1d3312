-- truth: A permitted statement rests on the vehicle maker's own manual, supplement or bulletin.
-- wrong: a permission that does not come from the vehicle's maker
-- severity: error
SELECT 'eligibility' AS "table",
       e.eligibility_id AS "key",
       'source_id' AS "column",
       e.source_id AS "value",
       'cite the vehicle maker''s owner_manual, manual_supplement or technical_bulletin'
           AS "remedy"
FROM towdb_data.eligibility AS e
JOIN towdb_data.source AS s ON s.source_id = e.source_id
WHERE e.permission = 'permitted'
  AND (
      s.kind IN ('owner_manual', 'manual_supplement', 'technical_bulletin')
      AND s.issuer_role = 'vehicle_maker'
  ) IS NOT TRUE
