-- What a person should know beside the checks, with the page of the row that it is about.
-- candidate: what the person calls the car
-- kind: what sort of remark it is
-- key: the statement it is about
-- said: the word, name or row that it mentions
-- title: title of the source
SELECT d.candidate, d.kind, d.key, d.said, d.source_id, d.locator, d.title
FROM (
    SELECT DISTINCT n.candidate_no, n.candidate, r.kind, r.row_key AS key, r.said,
           e.source_id, e.locator, s.title
    FROM decision_remark AS r
    JOIN candidate AS n ON n.candidate_no = r.candidate_no
    LEFT JOIN towdb_data.eligibility AS e ON e.eligibility_id = r.row_key
    LEFT JOIN towdb_data.source AS s ON s.source_id = e.source_id
) AS d
ORDER BY d.candidate_no, d.kind, d.key, d.said
