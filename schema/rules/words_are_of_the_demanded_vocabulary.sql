-- truth: A word is one of those that its property or comparison has.
-- wrong: not a word that this can have
-- severity: error
WITH vocabulary AS (
    SELECT vocabulary, any_value(is_open) AS is_open,
           string_agg(word, ', ' ORDER BY word) AS words
    FROM towdb_data.vocabulary_word
    GROUP BY vocabulary
)
SELECT s.table_name AS "table",
       s.row_key AS "key",
       'word' AS "column",
       s.word AS "value",
       'use one of ' || v.words AS "remedy"
FROM towdb_data.demanding_row AS s
JOIN towdb_data.demand AS d ON d.table_name = s.table_name AND d.word = s.name
JOIN vocabulary AS v ON v.vocabulary = d.vocabulary
LEFT JOIN towdb_data.vocabulary_word AS w ON w.vocabulary = d.vocabulary AND w.word = s.word
WHERE s.word IS NOT NULL AND (v.is_open OR w.word IS NOT NULL) IS NOT TRUE
UNION ALL
SELECT s.table_name, s.row_key, 'word', s.word, 'enter that rule first, or correct its id'
FROM towdb_data.demanding_row AS s
JOIN towdb_data.demand AS d ON d.table_name = s.table_name AND d.word = s.name
LEFT JOIN towdb_data.towing_rule AS r ON r.towing_rule_id = s.word
WHERE s.word IS NOT NULL AND d.value = 'rule' AND (r.towing_rule_id IS NOT NULL) IS NOT TRUE
