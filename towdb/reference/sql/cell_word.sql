-- Whether a word lies inside what a cell says; no row: unknown.
-- inside: 1 if all that the word may be is covered by the cell, 0 if nothing of it is
WITH said AS (
    SELECT DISTINCT cell_no, attribute, make_model_no, meaning
    FROM towdb_data.group_cell
    WHERE meaning <> 'empty'
),
covered AS (
    SELECT cell_no, attribute, UNNEST(STRING_SPLIT(meaning, '|')) AS leaf
    FROM said
    WHERE attribute NOT IN ('trim', 'body_style', 'engine')
),
closed AS (
    SELECT s.cell_no, w.word_no, COUNT(*) AS leaves, COUNT(c.leaf) AS covered
    FROM said AS s
    JOIN towdb_data.word_number AS w ON w.attribute = s.attribute AND w.make_model_no IS NULL
    JOIN towdb_data.leaf AS l ON l.vocabulary = w.attribute AND l.word = w.word
    LEFT JOIN covered AS c ON c.cell_no = s.cell_no AND c.leaf = l.leaf
    GROUP BY s.cell_no, w.word_no
),
free AS (
    SELECT s.cell_no, w.word_no,
           LIST_CONTAINS(
               STRING_SPLIT(SUBSTR(s.meaning, STRPOS(s.meaning, ':') + 1), '|'), w.word
           ) AS listed,
           s.meaning LIKE 'in:%' AS is_in
    FROM said AS s
    JOIN towdb_data.word_number AS w
      ON w.attribute = s.attribute AND w.make_model_no = s.make_model_no
)
SELECT cell_no, word_no, CASE WHEN covered = leaves THEN 1 ELSE 0 END AS inside
FROM closed
WHERE covered = leaves OR covered = 0
UNION ALL
SELECT cell_no, word_no, CASE WHEN listed = is_in THEN 1 ELSE 0 END
FROM free
ORDER BY cell_no, word_no
