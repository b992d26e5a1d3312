-- The statements of a configuration after overrides.
SELECT s.configuration_no, s.statement_no, s.stance, s.checked, s.fingerprint_no,
       CASE WHEN s.is_certain = 1 AND COALESCE(o.is_weakened, 0) = 0 THEN 1 ELSE 0 END AS is_certain
FROM applying_statement AS s
LEFT JOIN overridden AS o
  ON o.configuration_no = s.configuration_no AND o.statement_no = s.statement_no
WHERE COALESCE(o.is_out, 0) = 0
