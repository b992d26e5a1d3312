-- The cars with an open question.
SELECT DISTINCT candidate_no, configuration_no FROM open_verdict
