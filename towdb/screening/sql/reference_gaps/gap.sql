-- What the reference lacks, and how many cars wait for it; the most first.
-- lacks: statement (no page on towing it flat is on record), steps (a page permits it and no step is on
-- record), weight (no gross rating), check (a row that nobody has compared with its page)
-- make, model, model_year: of the cars
-- words: what else is known of them that the reference distinguishes
-- cars: how many wait for it
-- named: the rows that lack it; of a statement or weight, those whose source was withdrawn; empty: no
-- such row
-- on_record: the model on record with which the model as typed begins: perhaps only a trim in a column
-- of its own is missing; empty: no such model
WITH ambiguous AS (
    SELECT word FROM towdb_data.word_number GROUP BY word HAVING COUNT(DISTINCT attribute_no) > 1
),
begun AS (
    SELECT fold(make) AS make, fold(model) AS model, MIN(on_record) AS on_record
    FROM begun_model
    GROUP BY ALL
),
known_words AS (
    SELECT w.configuration_no,
           string_agg(CASE WHEN n.word IN ('none', 'present') OR n.word IN (SELECT word FROM ambiguous)
                               THEN a.attribute || ' ' ELSE '' END
                          || n.word, ', ' ORDER BY w.attribute_no) AS words
    FROM configuration_word AS w
    JOIN towdb_data.word_number AS n ON n.word_no = w.word_no
    JOIN towdb_data.attribute AS a ON a.attribute_no = w.attribute_no
    GROUP BY w.configuration_no
)
SELECT l.lacks, p.make, p.model, p.model_year, s.words,
       CAST(SUM(CASE WHEN l.only_unweighed THEN p.unweighed ELSE p.cars END) AS BIGINT) AS cars,
       l.named, b.on_record
FROM open_gap AS l
JOIN gap_class AS p ON p.configuration_no = l.configuration_no
LEFT JOIN known_words AS s ON s.configuration_no = l.configuration_no
LEFT JOIN begun AS b ON b.make = fold(p.make) AND b.model = fold(p.model)
GROUP BY l.place, l.lacks, p.make, p.model, p.model_year, s.words, l.named, b.on_record
HAVING SUM(CASE WHEN l.only_unweighed THEN p.unweighed ELSE p.cars END) > 0
ORDER BY cars DESC, l.place, p.make, p.model, p.model_year, s.words, l.named
