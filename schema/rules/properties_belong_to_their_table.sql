-- truth: A vehicle, coach or part has only properties of such a thing.
-- wrong: such a thing has no property of this name
-- severity: error
WITH offered AS (
    SELECT table_name, string_agg(word, ', ' ORDER BY word) AS words
    FROM towdb_data.demand
    GROUP BY table_name
)
SELECT s.table_name AS "table",
       s.row_key AS "key",
       s.name_column AS "column",
       s.name AS "value",
       'use one of ' || o.words AS "remedy"
FROM towdb_data.demanding_row AS s
JOIN offered AS o ON o.table_name = s.table_name
LEFT JOIN towdb_data.demand AS d ON d.table_name = s.table_name AND d.word = s.name
WHERE s.name IS NOT NULL AND (d.word IS NOT NULL) IS NOT TRUE
