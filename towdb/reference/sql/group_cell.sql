-- The conditions that a group sets on attributes of the car; what it leaves open to any car is left
-- out, and so is a cell whose words cover every leaf.
-- cell_no: dense number of the meaning of the cell; cells of one meaning share it
-- meaning: the leaves that a cell of a closed vocabulary covers; a list of texts after in: or not:; empty: unknown
WITH said AS (
    SELECT g.group_no, g.make_model_no, a.attribute_no, a.attribute, a.is_text, c.form, c.word
    FROM towdb_data.cell AS c
    JOIN towdb_data.attribute AS a ON a.attribute = c.column_name
    JOIN towdb_data.group_fact AS g ON g.vehicle_group_id = c.row_key
    JOIN towdb_data.vehicle_group AS v ON v.vehicle_group_id = c.row_key
    WHERE c.table_name = 'vehicle_group'
      AND c.form <> 'any'
      AND NOT (c.form = 'empty' AND v.otherwise IS NOT DISTINCT FROM 'any')
),
listed AS (
    SELECT DISTINCT s.group_no, s.attribute, s.attribute_no, s.form, l.leaf
    FROM said AS s
    JOIN towdb_data.leaf AS l ON l.vocabulary = s.attribute AND l.word = s.word
    WHERE NOT s.is_text
),
conditioned AS (
    SELECT DISTINCT group_no, attribute, attribute_no, form FROM listed
),
covered AS (
    SELECT c.group_no, c.attribute_no, l.leaf
    FROM conditioned AS c
    JOIN (SELECT DISTINCT vocabulary, leaf FROM towdb_data.leaf) AS l
      ON l.vocabulary = c.attribute
    LEFT JOIN listed AS n
      ON n.group_no = c.group_no AND n.attribute_no = c.attribute_no AND n.leaf = l.leaf
    WHERE (c.form = 'in') = (n.leaf IS NOT NULL)
),
closed AS (
    SELECT c.group_no, c.attribute, c.attribute_no,
           COALESCE(STRING_AGG(v.leaf, '|' ORDER BY v.leaf), 'nothing') AS meaning,
           COUNT(v.leaf) AS leaves
    FROM conditioned AS c
    LEFT JOIN covered AS v ON v.group_no = c.group_no AND v.attribute_no = c.attribute_no
    GROUP BY c.group_no, c.attribute, c.attribute_no
),
every AS (
    SELECT vocabulary AS attribute, COUNT(DISTINCT leaf) AS leaves
    FROM towdb_data.leaf
    GROUP BY vocabulary
),
spelled AS (
    SELECT c.group_no, c.attribute_no, CAST(NULL AS INTEGER) AS make_model_no, c.meaning
    FROM closed AS c
    JOIN every AS e ON e.attribute = c.attribute
    WHERE c.leaves < e.leaves
    UNION ALL
    SELECT group_no, attribute_no, make_model_no,
           MIN(form) || ':' || STRING_AGG(DISTINCT word, '|' ORDER BY word)
    FROM said
    WHERE is_text AND form <> 'empty'
    GROUP BY group_no, attribute_no, make_model_no
    UNION ALL
    SELECT group_no, attribute_no, CAST(NULL AS INTEGER), 'empty' FROM said WHERE form = 'empty'
)
SELECT group_no, attribute_no, make_model_no,
       CAST(DENSE_RANK() OVER (
           ORDER BY attribute_no, make_model_no NULLS FIRST, meaning
       ) AS INTEGER) AS cell_no,
       meaning
FROM spelled
ORDER BY group_no, attribute_no
