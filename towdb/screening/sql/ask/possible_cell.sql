-- For each statement that permits and may apply: a word for every attribute that is still open, such as
-- its group describes.
WITH open_cell AS (
    SELECT DISTINCT s.configuration_no, a.group_no, c.attribute_no, c.meaning, k.word_no
    FROM applying_statement AS s
    JOIN current_statement AS t ON t.statement_no = s.statement_no
    JOIN applies AS a ON a.configuration_no = s.configuration_no AND a.group_no = t.group_no
    JOIN towdb_data.group_cell AS c ON c.group_no = a.group_no AND c.meaning <> 'empty'
    LEFT JOIN configuration_word AS k
      ON k.configuration_no = s.configuration_no AND k.attribute_no = c.attribute_no
    LEFT JOIN towdb_data.cell_word AS w ON w.cell_no = c.cell_no AND w.word_no = k.word_no
    WHERE s.stance = 'permits' AND a.sure = 0 AND w.inside IS NULL
),
spelled AS (
    SELECT o.configuration_no, o.group_no, a.attribute, n.word AS said,
           UNNEST(STRING_SPLIT(REPLACE(o.meaning, 'in:', ''), '|')) AS answer
    FROM open_cell AS o
    JOIN towdb_data.attribute AS a ON a.attribute_no = o.attribute_no
    LEFT JOIN towdb_data.word_number AS n ON n.word_no = o.word_no
    WHERE o.meaning NOT LIKE 'not:%'
)
SELECT s.configuration_no, s.group_no, s.attribute, MIN(s.answer) AS answer
FROM spelled AS s
LEFT JOIN towdb_data.leaf AS l
  ON l.vocabulary = s.attribute AND l.word = s.said AND l.leaf = s.answer
WHERE s.said IS NULL OR l.leaf IS NOT NULL
GROUP BY s.configuration_no, s.group_no, s.attribute
ORDER BY s.configuration_no, s.group_no, s.attribute
