-- Pairs of groups of one make and model that some car may belong to both of: their years meet, their
-- build dates and options allow it, and no attribute keeps them apart. A group overlaps itself.
WITH vehicle AS (
    SELECT vehicle_group_id, towdb_data.fold(make) AS make, towdb_data.fold(model) AS model,
           model_year_from, model_year_to, built_from, built_to,
           string_split(towdb_data.fold(regexp_replace(options_with, '\s*,\s*', ',', 'g')), ',')
               AS options_with,
           string_split(
               towdb_data.fold(regexp_replace(options_without, '\s*,\s*', ',', 'g')), ','
           ) AS options_without
    FROM towdb_data.vehicle_group
),
pair AS (
    SELECT one.vehicle_group_id AS one, other.vehicle_group_id AS other
    FROM vehicle AS one
    JOIN vehicle AS other
      ON other.make = one.make AND other.model = one.model
     AND one.vehicle_group_id <= other.vehicle_group_id
     AND one.model_year_from <= other.model_year_to
     AND other.model_year_from <= one.model_year_to
    WHERE coalesce(one.built_from <= other.built_to, TRUE)
      AND coalesce(other.built_from <= one.built_to, TRUE)
      AND NOT coalesce(list_has_any(one.options_with, other.options_without), FALSE)
      AND NOT coalesce(list_has_any(other.options_with, one.options_without), FALSE)
),
listed AS (
    SELECT c.row_key, c.column_name, c.form, coalesce(l.leaf, c.word) AS leaf
    FROM towdb_data.cell AS c
    LEFT JOIN towdb_data.leaf AS l ON l.vocabulary = c.column_name AND l.word = c.word
    WHERE c.table_name = 'vehicle_group' AND c.form IN ('in', 'not')
),
-- In a vocabulary "not a" means the other leaves; for free text nobody knows the others.
meant AS (
    SELECT row_key, column_name, form, list(leaf) AS leaves
    FROM listed
    WHERE form = 'in' OR column_name IN ('trim', 'body_style', 'engine')
    GROUP BY row_key, column_name, form
    UNION ALL
    SELECT n.row_key, n.column_name, 'in', list(l.leaf)
    FROM (
        SELECT row_key, column_name, list(leaf) AS leaves
        FROM listed
        WHERE form = 'not' AND column_name NOT IN ('trim', 'body_style', 'engine')
        GROUP BY row_key, column_name
    ) AS n
    JOIN towdb_data.leaf AS l
      ON l.vocabulary = n.column_name AND l.word = l.leaf AND NOT list_contains(n.leaves, l.leaf)
    GROUP BY n.row_key, n.column_name
),
apart AS (
    SELECT DISTINCT p.one, p.other
    FROM pair AS p
    JOIN meant AS a ON a.row_key = p.one
    JOIN meant AS b ON b.row_key = p.other AND b.column_name = a.column_name
    WHERE CASE
        WHEN a.form = 'in' AND b.form = 'in' THEN NOT list_has_any(a.leaves, b.leaves)
        WHEN a.form = 'in' THEN list_has_all(b.leaves, a.leaves)
        WHEN b.form = 'in' THEN list_has_all(a.leaves, b.leaves)
        ELSE FALSE
    END
)
SELECT p.one, p.other
FROM pair AS p
ANTI JOIN apart AS a ON a.one = p.one AND a.other = p.other
