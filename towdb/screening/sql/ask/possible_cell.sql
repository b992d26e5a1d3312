-- For each statement that permits and may apply: a word for every attribute that is still open, as its
-- group describes it.
WITH open_cell AS (
    SELECT p.candidate_no, p.group_no, p.make_model_no, a.attribute, n.word AS known_word,
           UNNEST(STRING_SPLIT(REPLACE(c.meaning, 'in:', ''), '|')) AS answer
    FROM permitting AS p
    JOIN towdb_data.group_cell AS c
      ON c.group_no = p.group_no AND c.meaning <> 'empty' AND c.meaning NOT LIKE 'not:%'
    JOIN towdb_data.attribute AS a ON a.attribute_no = c.attribute_no
    LEFT JOIN configuration_word AS k
      ON k.configuration_no = p.configuration_no AND k.attribute_no = c.attribute_no
    LEFT JOIN towdb_data.cell_word AS w ON w.cell_no = c.cell_no AND w.word_no = k.word_no
    LEFT JOIN towdb_data.word_number AS n ON n.word_no = k.word_no
    WHERE w.inside IS NULL
),
first AS (
    SELECT o.candidate_no, o.group_no, o.make_model_no, o.attribute, MIN(o.answer) AS answer
    FROM open_cell AS o
    LEFT JOIN towdb_data.leaf AS l
      ON l.vocabulary = o.attribute AND l.word = o.known_word AND l.leaf = o.answer
    WHERE o.known_word IS NULL OR l.leaf IS NOT NULL
    GROUP BY ALL
)
SELECT f.candidate_no, f.group_no, f.attribute, f.answer, n.word_no
FROM first AS f
JOIN numbered AS n
  ON n.attribute = f.attribute AND n.word = f.answer AND n.make_model_no IN (0, f.make_model_no)
