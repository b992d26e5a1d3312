-- The rows that each check and condition rests on, with source and page.
-- candidate: what the person calls the car
-- coach: the stem of the coach's file, or its id on record
-- check: the check that rests on the row; empty: a condition rests on it
-- condition: the kind of the condition that rests on the row
-- table, key: the row; table coach_file: a figure of a coach file, by its property
-- title: title of the source
SELECT n.candidate, c.coach, x.check_name AS "check", x.condition, x.table_name AS "table",
       x.row_key AS key, x.source_id, x.locator, x.title, x.quote
FROM verdict_citation AS x
JOIN candidate AS n ON n.candidate_no = x.candidate_no
JOIN coach_name AS c ON c.coach_no = x.coach_no
ORDER BY x.coach_no, x.candidate_no, x.check_no, x.condition NULLS FIRST, x.table_name, x.row_key
