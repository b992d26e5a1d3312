-- The answers to what is asked of an attribute: the words that are named, and one other, if there is any:
-- (another).
WITH counted AS (
    SELECT candidate_no, attribute, is_text, said, COUNT(*) AS named
    FROM fitting_word
    GROUP BY ALL
),
-- Of k leaves at most k - 1 are named among the first k: further on there is no need to look.
place AS (
    SELECT vocabulary, word, leaf,
           row_number() OVER (PARTITION BY vocabulary, word ORDER BY leaf) AS place
    FROM (
        SELECT vocabulary, word, leaf FROM towdb_data.leaf
        UNION
        SELECT vocabulary, NULL, leaf FROM towdb_data.leaf
    ) AS s
),
other AS (
    SELECT c.candidate_no, c.attribute, MIN(p.leaf) AS word
    FROM counted AS c
    JOIN place AS p
      ON p.vocabulary = c.attribute AND p.word IS NOT DISTINCT FROM c.said
     AND p.place <= c.named + 1
    LEFT JOIN fitting_word AS f
      ON f.candidate_no = c.candidate_no AND f.attribute = c.attribute AND f.answer = p.leaf
    WHERE f.answer IS NULL
    GROUP BY ALL
    UNION ALL
    SELECT candidate_no, attribute, NULL FROM counted WHERE is_text
),
reply AS (
    SELECT candidate_no, make_model_no, attribute, answer, answer AS word, 0 AS is_other
    FROM fitting_word
    UNION ALL
    SELECT candidate_no, 0, attribute, '(another)', word, 1 FROM other
)
SELECT r.candidate_no, r.attribute, r.answer, r.is_other, n.word_no
FROM reply AS r
LEFT JOIN numbered AS n
  ON n.attribute = r.attribute AND n.word = r.word AND n.make_model_no IN (0, r.make_model_no)
