-- The rows that each check and condition rests on, with source and page.
SELECT n.candidate, c.coach, x.check_name AS "check", x.condition, x.table_name AS "table", x.row_key AS key,
       x.source_id, x.locator, x.title, x.quote
FROM citation AS x
JOIN candidate AS n ON n.candidate_no = x.candidate_no
JOIN coach_name AS c ON c.coach_no = x.coach_no
ORDER BY x.coach_no, x.candidate_no, x.check_no, x.condition NULLS FIRST, x.table_name, x.row_key
