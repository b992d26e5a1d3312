-- The answers to the question about an attribute: the words that are named, and (another) if there are
-- others: each word that may make a difference.
WITH counted AS (
    SELECT candidate_no, make_model_no, attribute, is_text, known_word
    FROM fitting_word
    GROUP BY ALL
),
-- Leaves that any group of the make and model names: another group may distinguish them.
taken AS (
    SELECT DISTINCT g.make_model_no, x.column_name AS attribute, l.leaf
    FROM towdb_data.cell AS x
    JOIN towdb_data.group_fact AS g ON g.vehicle_group_id = x.row_key
    JOIN towdb_data.leaf AS l ON l.vocabulary = x.column_name AND l.word = x.word
    WHERE x.table_name = 'vehicle_group'
      AND g.make_model_no IN (SELECT make_model_no FROM fitting_word)
),
-- One leaf that no group names represents all of them.
free AS (
    SELECT m.make_model_no, l.vocabulary AS attribute, l.word AS known_word, MIN(l.leaf) AS word
    FROM (
        SELECT DISTINCT make_model_no, attribute, known_word FROM counted WHERE NOT is_text
    ) AS m
    JOIN (
        SELECT vocabulary, word, leaf FROM towdb_data.leaf
        UNION
        SELECT vocabulary, NULL, leaf FROM towdb_data.leaf
    ) AS l ON l.vocabulary = m.attribute AND l.word IS NOT DISTINCT FROM m.known_word
    LEFT JOIN taken AS t
      ON t.make_model_no = m.make_model_no AND t.attribute = m.attribute AND t.leaf = l.leaf
    WHERE t.leaf IS NULL
    GROUP BY ALL
),
-- Leaves that other groups name may each have a different result.
left_over AS (
    SELECT c.candidate_no, c.attribute, t.leaf AS word
    FROM counted AS c
    JOIN taken AS t ON t.make_model_no = c.make_model_no AND t.attribute = c.attribute
    LEFT JOIN towdb_data.leaf AS l
      ON l.vocabulary = c.attribute AND l.word = c.known_word AND l.leaf = t.leaf
    LEFT JOIN fitting_word AS f
      ON f.candidate_no = c.candidate_no AND f.attribute = c.attribute AND f.answer = t.leaf
    WHERE f.answer IS NULL AND (c.known_word IS NULL OR l.leaf IS NOT NULL)
),
other AS (
    SELECT c.candidate_no, c.attribute, f.word
    FROM counted AS c
    LEFT JOIN free AS f
      ON f.make_model_no = c.make_model_no AND f.attribute = c.attribute
     AND f.known_word IS NOT DISTINCT FROM c.known_word
    WHERE c.is_text OR f.word IS NOT NULL
    UNION ALL
    SELECT * FROM left_over
),
word_answer AS (
    SELECT candidate_no, make_model_no, attribute, answer, answer AS word, 0 AS is_other
    FROM fitting_word
    UNION ALL
    SELECT candidate_no, 0, attribute, '(another)', word, 1 FROM other
)
SELECT r.candidate_no, r.attribute, r.answer, r.is_other, n.word_no
FROM word_answer AS r
LEFT JOIN numbered AS n
  ON n.attribute = r.attribute AND n.word = r.word AND n.make_model_no IN (0, r.make_model_no)
