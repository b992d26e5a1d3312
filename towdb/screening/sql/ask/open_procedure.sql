-- The procedures that differ, of which one may be chosen, and the cars that each is for.
SELECT d.configuration_no, f.eligibility_id AS answer, d.depends_on AS said
FROM depends_text AS d
JOIN towdb_data.statement_fact AS f ON f.statement_no = d.statement_no
ORDER BY d.configuration_no, f.eligibility_id
