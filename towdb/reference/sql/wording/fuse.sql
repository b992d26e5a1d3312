-- The fuses that the statements of open_statement require, each with the place of its step.
SELECT a.eligibility_id AS of, s.phase, s.step_no, s.printed_no, f.*
FROM open_statement AS a
JOIN towdb_data.procedure_step AS s ON s.eligibility_id = a.steps_of
JOIN towdb_data.fuse_pull AS f ON f.procedure_step_id = s.procedure_step_id
