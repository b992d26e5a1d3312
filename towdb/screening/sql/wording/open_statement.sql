-- The statements that count for any of the cars, and the statement whose steps each uses.
SELECT DISTINCT e.eligibility_id, COALESCE(e.same_steps_as, e.eligibility_id) AS steps_of
FROM considered AS s
JOIN towdb_data.statement_fact AS f ON f.statement_no = s.statement_no
JOIN towdb_data.eligibility AS e ON e.eligibility_id = f.eligibility_id
