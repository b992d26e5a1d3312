-- What is asked of a car that may be towed: limits, fuses and steps of the statements that come into
-- question, worded in fact_text, and brakes of its own above what the coach may tow without.
SELECT v.candidate_no, v.coach_no, f.kind, f.alternative_no, f.text, f.value, f.unit,
       e.eligibility_id, f.table_name, f.row_key, f.position
FROM verdict AS v
JOIN considered AS s ON s.configuration_no = v.configuration_no
JOIN towdb_data.statement_fact AS e ON e.statement_no = s.statement_no
JOIN fact_text AS f ON f.eligibility_id = e.eligibility_id
UNION ALL
SELECT v.candidate_no, v.coach_no, 'brakes', NULL, b.text, b.value, b.unit, NULL,
       b.table_name, b.row_key, 1000000
FROM verdict AS v
JOIN brake_text AS b ON b.coach_no = v.coach_no
