-- The attributes of a car that distinguish groups, numbered.
-- attribute_no: dense number, for joins
-- attribute: its name, the column of a group
-- is_text: whether it is free text, not a closed vocabulary
SELECT CAST(ROW_NUMBER() OVER (ORDER BY attribute) AS INTEGER) AS attribute_no, attribute,
       attribute NOT IN (SELECT vocabulary FROM towdb_data.vocabulary_word) AS is_text
FROM (
    SELECT DISTINCT column_name AS attribute
    FROM towdb_data.cell
    WHERE table_name = 'vehicle_group'
) AS named
ORDER BY attribute_no
