-- Cars that nothing tells apart: of one group, one configuration and one weight. Verdicts are the same
-- for all of them, so that one stands for all.
SELECT CAST(row_number() OVER () AS INTEGER) AS pile_no, p.*
FROM (
    SELECT g.group_no, t.* EXCLUDE (candidate_no, candidate), COUNT(*) AS cars
    FROM towed AS t
    LEFT JOIN grouped AS g ON g.candidate_no = t.candidate_no
    GROUP BY ALL
) AS p
