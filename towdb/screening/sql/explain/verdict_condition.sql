-- What a car that may be towed requires: limits, fuses and steps of the statements that may apply,
-- worded in condition_text with their place in the procedure, and brakes of its own above what the
-- coach may tow without. Where procedures differ, each has what it depends on; where one was
-- chosen, only that one counts.
SELECT v.candidate_no, v.coach_no, f.kind, f.alternative_no, d.depends_on, f.phase, f.step_no,
       f.printed_no, f.step_kind, f.text, f.expect, f.if_not, f.disables, f.restore, f.value, f.unit,
       f.also_value, f.also_unit, e.eligibility_id, f.table_name, f.row_key, f.position
FROM verdict_kg AS v
JOIN configuration AS c ON c.configuration_no = v.configuration_no
JOIN considered AS s ON s.configuration_no = v.configuration_no
JOIN towdb_data.statement_fact AS e ON e.statement_no = s.statement_no
JOIN condition_text AS f ON f.eligibility_id = e.eligibility_id
LEFT JOIN depends_text AS d
  ON d.configuration_no = s.configuration_no AND d.statement_no = s.statement_no
WHERE v.procedure_reason <> 'chosen' OR s.statement_no = c.procedure_no
UNION ALL
SELECT v.candidate_no, v.coach_no, 'brakes', NULL, NULL, NULL, NULL, NULL, NULL, b.text, NULL, NULL,
       NULL, NULL, b.value, b.unit, b.also_value, b.also_unit, NULL, b.table_name, b.row_key, 0
FROM verdict_kg AS v
JOIN brake_text AS b ON b.coach_no = v.coach_no
