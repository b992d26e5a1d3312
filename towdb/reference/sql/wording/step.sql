-- The steps that the statements of open_statement require, their own or another's.
SELECT a.eligibility_id AS of, s.*
FROM open_statement AS a
JOIN towdb_data.procedure_step AS s ON s.eligibility_id = a.steps_of
