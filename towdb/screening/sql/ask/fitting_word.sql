-- The attributes that leave it open whether such a group applies, with the words that it names and
-- that may still be the car's.
WITH open_cell AS (
    SELECT p.candidate_no, p.group_no, p.make_model_no, c.attribute_no, k.word_no
    FROM possible AS p
    JOIN towdb_data.group_cell AS c ON c.group_no = p.group_no AND c.meaning <> 'empty'
    LEFT JOIN configuration_word AS k
      ON k.configuration_no = p.configuration_no AND k.attribute_no = c.attribute_no
    LEFT JOIN towdb_data.cell_word AS w ON w.cell_no = c.cell_no AND w.word_no = k.word_no
    WHERE w.inside IS NULL
),
named AS (
    SELECT DISTINCT o.candidate_no, o.make_model_no, a.attribute, a.is_text, n.word AS known_word,
           COALESCE(l.leaf, x.word) AS answer
    FROM open_cell AS o
    JOIN towdb_data.attribute AS a ON a.attribute_no = o.attribute_no
    JOIN towdb_data.group_fact AS g ON g.group_no = o.group_no
    JOIN towdb_data.cell AS x
      ON x.table_name = 'vehicle_group' AND x.row_key = g.vehicle_group_id
     AND x.column_name = a.attribute
    LEFT JOIN towdb_data.leaf AS l ON l.vocabulary = a.attribute AND l.word = x.word
    LEFT JOIN towdb_data.word_number AS n ON n.word_no = o.word_no
)
SELECT n.*
FROM named AS n
LEFT JOIN towdb_data.leaf AS l
  ON l.vocabulary = n.attribute AND l.word = n.known_word AND l.leaf = n.answer
WHERE n.known_word IS NULL OR l.leaf IS NOT NULL
