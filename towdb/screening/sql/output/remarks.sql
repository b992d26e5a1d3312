-- What a person should know beside the checks, with the page of the row that it is about.
SELECT DISTINCT n.candidate_no, n.candidate, r.kind, r.row_key AS key, r.said,
       e.source_id, e.locator, s.title
FROM remark AS r
JOIN candidate AS n ON n.candidate_no = r.candidate_no
LEFT JOIN towdb_data.eligibility AS e ON e.eligibility_id = r.row_key
LEFT JOIN towdb_data.source AS s ON s.source_id = e.source_id
ORDER BY n.candidate_no, r.kind, r.row_key, r.said
