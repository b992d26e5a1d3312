-- Whether a cell covers a word; no row: unknown.
-- inside: 1 if all that the word may be is covered by the cell, 0 if nothing of it is
WITH said AS (
    SELECT DISTINCT c.cell_no, c.attribute_no, c.make_model_no, c.meaning, a.attribute, a.is_text
    FROM towdb_data.group_cell AS c
    JOIN towdb_data.attribute AS a ON a.attribute_no = c.attribute_no
    WHERE c.meaning <> 'empty'
),
covered AS (
    SELECT cell_no, UNNEST(STRING_SPLIT(meaning, '|')) AS leaf FROM said WHERE NOT is_text
),
closed AS (
    SELECT s.cell_no, w.word_no, COUNT(*) AS leaves, COUNT(c.leaf) AS covered
    FROM said AS s
    JOIN towdb_data.word_number AS w
      ON w.attribute_no = s.attribute_no AND w.make_model_no IS NULL
    JOIN towdb_data.leaf AS l ON l.vocabulary = s.attribute AND l.word = w.word
    LEFT JOIN covered AS c ON c.cell_no = s.cell_no AND c.leaf = l.leaf
    GROUP BY s.cell_no, w.word_no
),
free AS (
    SELECT s.cell_no, w.word_no, s.meaning LIKE 'in:%' AS is_in,
           LIST_CONTAINS(
               STRING_SPLIT(SUBSTR(s.meaning, STRPOS(s.meaning, ':') + 1), '|'), w.word
           ) AS listed
    FROM said AS s
    JOIN towdb_data.word_number AS w
      ON w.attribute_no = s.attribute_no AND w.make_model_no = s.make_model_no
)
SELECT cell_no, word_no, CASE WHEN covered = leaves THEN 1 ELSE 0 END AS inside
FROM closed
WHERE covered = leaves OR covered = 0
UNION ALL
SELECT cell_no, word_no, CASE WHEN listed = is_in THEN 1 ELSE 0 END
FROM free
ORDER BY cell_no, word_no
