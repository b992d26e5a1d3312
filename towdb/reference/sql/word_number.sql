-- Every word by which a car can be told apart, numbered: those of the closed vocabularies, and the
-- free texts that a checked group of a make and model uses.
-- word_no: dense number, for joins
-- attribute: the attribute of the car
-- make_model_no: for free text, the make and model that uses it
SELECT CAST(ROW_NUMBER() OVER (ORDER BY attribute, make_model_no NULLS FIRST, word) AS INTEGER)
           AS word_no,
       attribute, make_model_no, word
FROM (
    SELECT v.vocabulary AS attribute, CAST(NULL AS INTEGER) AS make_model_no, v.word
    FROM towdb_data.vocabulary_word AS v
    WHERE v.vocabulary IN (
        SELECT column_name FROM towdb_data.cell WHERE table_name = 'vehicle_group'
    )
    UNION
    SELECT c.column_name, g.make_model_no, c.word
    FROM towdb_data.cell AS c
    JOIN towdb_data.group_fact AS g ON g.vehicle_group_id = c.row_key
    WHERE c.table_name = 'vehicle_group'
      AND c.column_name IN ('trim', 'body_style', 'engine')
      AND c.word IS NOT NULL
      AND g.checked = 1
) AS named
ORDER BY word_no
