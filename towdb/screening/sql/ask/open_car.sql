-- The cars about which something is open.
SELECT DISTINCT candidate_no, configuration_no FROM open_verdict
