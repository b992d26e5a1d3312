-- The limits of the statements of asked_statement.
SELECT l.*
FROM towdb_data.towing_limit AS l
JOIN asked_statement AS a ON a.eligibility_id = l.eligibility_id
