-- Which statement overrides which.
-- statement_no: the statement that overrides
-- target_no: the statement that it replaces for the vehicles of its own group
SELECT t.statement_no, s.statement_no AS target_no
FROM towdb_data.link AS l
JOIN towdb_data.statement_fact AS t ON t.eligibility_id = l.row_key
JOIN towdb_data.statement_fact AS s ON s.eligibility_id = l.target
WHERE l.table_name = 'eligibility' AND l.column_name = 'overrides'
ORDER BY t.statement_no, s.statement_no
