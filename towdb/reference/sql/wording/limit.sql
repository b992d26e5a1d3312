-- The limits of the statements of open_statement.
SELECT l.*
FROM towdb_data.towing_limit AS l
JOIN open_statement AS a ON a.eligibility_id = l.eligibility_id
