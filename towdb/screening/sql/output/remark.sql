-- What a person should know beside the checks, with the page of the row that it is about.
-- candidate: what the person calls the car
-- kind: what sort of remark it is
-- key: the statement it is about
-- said: the word, name or row that it mentions
-- title: title of the source
WITH
-- Nothing is on record for this car, only because the pages are on another market.
-- Of several pages the first by title and locator is named.
other_market AS (
    SELECT d.candidate_no, f.eligibility_id AS row_key, g.market AS said,
           row_number() OVER (
               PARTITION BY d.candidate_no, g.market
               ORDER BY t.title, e.locator, f.eligibility_id
           ) AS place
    FROM candidate AS d
    JOIN permission AS p
      ON p.configuration_no = d.configuration_no AND p.reason = 'nothing_on_record'
    JOIN word_match AS w ON w.configuration_no = d.configuration_no AND w.falses = 1
    LEFT JOIN option_match AS o
      ON o.configuration_no = w.configuration_no AND o.group_no = w.group_no
    JOIN current_statement AS s ON s.group_no = w.group_no
    JOIN towdb_data.statement_fact AS f ON f.statement_no = s.statement_no
    JOIN towdb_data.statement AS g ON g.eligibility_id = f.eligibility_id
    JOIN towdb_data.eligibility AS e ON e.eligibility_id = f.eligibility_id
    JOIN towdb_data.source AS t ON t.source_id = e.source_id
    JOIN towdb_data.attribute AS a ON a.attribute = 'market'
    JOIN towdb_data.group_cell AS c ON c.group_no = w.group_no AND c.attribute_no = a.attribute_no
    JOIN configuration_word AS k
      ON k.configuration_no = d.configuration_no AND k.attribute_no = a.attribute_no
    JOIN towdb_data.cell_word AS m
      ON m.cell_no = c.cell_no AND m.word_no = k.word_no AND m.inside = 0
    WHERE COALESCE(o.falses, 0) = 0
)
SELECT d.candidate, d.kind, d.key, d.said, d.source_id, d.locator, d.title
FROM (
    SELECT DISTINCT n.candidate_no, n.candidate, r.kind, r.row_key AS key, r.said,
           e.source_id, e.locator, s.title
    FROM (
        SELECT candidate_no, kind, row_key, said FROM verdict_remark
        UNION ALL
        SELECT candidate_no, 'other_market', row_key, said FROM other_market WHERE place = 1
    ) AS r
    JOIN candidate AS n ON n.candidate_no = r.candidate_no
    LEFT JOIN towdb_data.eligibility AS e ON e.eligibility_id = r.row_key
    LEFT JOIN towdb_data.source AS s ON s.source_id = e.source_id
) AS d
ORDER BY d.candidate_no, d.kind, d.key, d.said
