-- The conditions that a group sets on attributes of the car; what it leaves open to any car is left
-- out, and so is a cell whose words cover every leaf.
-- cell_no: dense number of what the cell says; cells that say the same share it
-- meaning: the leaves that a cell of a closed vocabulary covers; a list of texts with in: or not:
--     before it; or empty, which is unknown whatever the car is
WITH said AS (
    SELECT g.group_no, g.make_model_no, c.column_name AS attribute, c.form, c.word,
           c.column_name IN ('trim', 'body_style', 'engine') AS is_text
    FROM towdb_data.cell AS c
    JOIN towdb_data.group_fact AS g ON g.vehicle_group_id = c.row_key
    JOIN towdb_data.vehicle_group AS v ON v.vehicle_group_id = c.row_key
    WHERE c.table_name = 'vehicle_group'
      AND c.form <> 'any'
      AND NOT (c.form = 'empty' AND v.otherwise IS NOT DISTINCT FROM 'any')
),
listed AS (
    SELECT DISTINCT s.group_no, s.attribute, s.form, l.leaf
    FROM said AS s
    JOIN towdb_data.leaf AS l ON l.vocabulary = s.attribute AND l.word = s.word
    WHERE NOT s.is_text AND s.form <> 'empty'
),
covered AS (
    SELECT group_no, attribute, leaf FROM listed WHERE form = 'in'
    UNION ALL
    SELECT DISTINCT n.group_no, n.attribute, l.leaf
    FROM (SELECT DISTINCT group_no, attribute FROM listed WHERE form = 'not') AS n
    JOIN towdb_data.leaf AS l ON l.vocabulary = n.attribute
    LEFT JOIN listed AS out
      ON out.group_no = n.group_no AND out.attribute = n.attribute AND out.leaf = l.leaf
    WHERE out.leaf IS NULL
),
every AS (
    SELECT vocabulary AS attribute, COUNT(DISTINCT leaf) AS leaves
    FROM towdb_data.leaf
    GROUP BY vocabulary
),
closed AS (
    SELECT s.group_no, s.attribute,
           COALESCE(STRING_AGG(c.leaf, '|' ORDER BY c.leaf), 'nothing') AS meaning,
           COUNT(c.leaf) AS leaves
    FROM (SELECT DISTINCT group_no, attribute FROM listed) AS s
    LEFT JOIN covered AS c ON c.group_no = s.group_no AND c.attribute = s.attribute
    GROUP BY s.group_no, s.attribute
),
spelled AS (
    SELECT c.group_no, c.attribute, CAST(NULL AS INTEGER) AS make_model_no, c.meaning
    FROM closed AS c
    JOIN every AS e ON e.attribute = c.attribute
    WHERE c.leaves < e.leaves
    UNION ALL
    SELECT group_no, attribute, make_model_no,
           MIN(form) || ':' || STRING_AGG(DISTINCT word, '|' ORDER BY word)
    FROM said
    WHERE is_text AND form <> 'empty'
    GROUP BY group_no, attribute, make_model_no
    UNION ALL
    SELECT group_no, attribute, CAST(NULL AS INTEGER), 'empty' FROM said WHERE form = 'empty'
)
SELECT group_no, attribute, make_model_no,
       CAST(DENSE_RANK() OVER (ORDER BY attribute, make_model_no NULLS FIRST, meaning) AS INTEGER)
           AS cell_no,
       meaning
FROM spelled
ORDER BY group_no, attribute
