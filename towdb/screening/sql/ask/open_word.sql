-- The attributes that keep a group with a current statement from applying surely or not at all, and the
-- words that such groups name: those that a car of the configuration may still be.
WITH possible AS (
    SELECT DISTINCT configuration_no, group_no
    FROM applies
    WHERE sure = 0 AND group_no IN (SELECT group_no FROM current_statement)
),
open_cell AS (
    SELECT p.configuration_no, p.group_no, c.attribute_no, k.word_no
    FROM possible AS p
    JOIN towdb_data.group_cell AS c ON c.group_no = p.group_no AND c.meaning <> 'empty'
    LEFT JOIN configuration_word AS k
      ON k.configuration_no = p.configuration_no AND k.attribute_no = c.attribute_no
    LEFT JOIN towdb_data.cell_word AS w ON w.cell_no = c.cell_no AND w.word_no = k.word_no
    WHERE w.inside IS NULL
),
named AS (
    SELECT DISTINCT o.configuration_no, a.attribute, COALESCE(l.leaf, x.word) AS answer, n.word AS said
    FROM open_cell AS o
    JOIN towdb_data.attribute AS a ON a.attribute_no = o.attribute_no
    JOIN towdb_data.group_fact AS g ON g.group_no = o.group_no
    JOIN towdb_data.cell AS x
      ON x.table_name = 'vehicle_group' AND x.row_key = g.vehicle_group_id
     AND x.column_name = a.attribute AND x.word IS NOT NULL
    LEFT JOIN towdb_data.leaf AS l ON l.vocabulary = a.attribute AND l.word = x.word
    LEFT JOIN towdb_data.word_number AS n ON n.word_no = o.word_no
)
SELECT n.configuration_no, n.attribute, n.answer, n.said
FROM named AS n
WHERE n.said IS NULL
   OR n.answer IN (
       SELECT l.leaf FROM towdb_data.leaf AS l
       WHERE l.vocabulary = n.attribute AND l.word = n.said
   )
ORDER BY n.configuration_no, n.attribute, n.answer
