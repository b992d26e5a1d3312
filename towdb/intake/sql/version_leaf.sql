-- The leaves that the closed cells of groups name, and how many each cell names.
SELECT c.group_no, a.attribute, UNNEST(STRING_SPLIT(c.meaning, '|')) AS leaf,
       LEN(STRING_SPLIT(c.meaning, '|')) AS leaves
FROM towdb_data.group_cell AS c
JOIN towdb_data.attribute AS a ON a.attribute_no = c.attribute_no AND NOT a.is_text
WHERE c.meaning <> 'empty'
