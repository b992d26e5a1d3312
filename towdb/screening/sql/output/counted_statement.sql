-- The statements that count for the cars of a configuration, after overrides.
-- configuration_no: as in car
-- eligibility_id: the statement; the release's view `statement` has it with its page
-- sure: 1: the cars belong to its group; 0: they may belong to it
-- checked: 1: somebody has compared it with its page
SELECT s.configuration_no, f.eligibility_id, s.is_certain AS sure, s.checked
FROM statement_after_overrides AS s
JOIN towdb_data.statement_fact AS f ON f.statement_no = s.statement_no
ORDER BY s.configuration_no, f.eligibility_id
