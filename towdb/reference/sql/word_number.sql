-- Every word that can distinguish a car, numbered: those of the closed vocabularies, and the
-- free texts that a checked group of a make and model uses.
-- word_no: dense number, for joins
-- make_model_no: for free text, the make and model that uses it
SELECT CAST(ROW_NUMBER() OVER (ORDER BY attribute_no, make_model_no NULLS FIRST, word) AS INTEGER)
           AS word_no,
       attribute_no, make_model_no, word
FROM (
    SELECT a.attribute_no, CAST(NULL AS INTEGER) AS make_model_no, v.word
    FROM towdb_data.vocabulary_word AS v
    JOIN towdb_data.attribute AS a ON a.attribute = v.vocabulary
    UNION
    SELECT a.attribute_no, g.make_model_no, c.word
    FROM towdb_data.cell AS c
    JOIN towdb_data.attribute AS a ON a.attribute = c.column_name AND a.is_text
    JOIN towdb_data.group_fact AS g ON g.vehicle_group_id = c.row_key
    WHERE c.table_name = 'vehicle_group' AND c.word IS NOT NULL AND g.checked = 1
) AS named
ORDER BY word_no
