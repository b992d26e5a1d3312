-- What the statements that come into question ask for, and what the coach asks for.
SELECT n.candidate, c.coach, d.kind, d.alternative_no, d.depends_on, d.text, d.value, d.unit, d.eligibility_id,
       d.table_name AS "table", d.row_key AS key
FROM condition AS d
JOIN candidate AS n ON n.candidate_no = d.candidate_no
JOIN coach_name AS c ON c.coach_no = d.coach_no
ORDER BY d.coach_no, d.candidate_no, d.eligibility_id, d.position, d.row_key
