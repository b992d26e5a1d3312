-- truth: No statement forbids what another permits, unless one of them overrides the other.
-- wrong: another statement forbids this for vehicles of both
-- severity: warning
WITH statement AS (
    SELECT e.eligibility_id, e.vehicle_group_id, e.permission, e.towing_method,
           e.purpose = 'emergency' AS is_emergency,
           towdb_data.fold(g.make) AS make, towdb_data.fold(g.model) AS model,
           g.model_year_from, g.model_year_to, g.built_from, g.built_to,
           string_split(towdb_data.fold(regexp_replace(g.options_with, '\s*,\s*', ',', 'g')), ',')
               AS options_with,
           string_split(
               towdb_data.fold(regexp_replace(g.options_without, '\s*,\s*', ',', 'g')), ','
           ) AS options_without
    FROM towdb_data.eligibility AS e
    JOIN towdb_data.vehicle_group AS g ON g.vehicle_group_id = e.vehicle_group_id
),
override AS (
    SELECT row_key AS statement, target
    FROM towdb_data.link
    WHERE table_name = 'eligibility' AND column_name = 'overrides'
),
pair AS (
    SELECT yes.eligibility_id AS permitting, yes.vehicle_group_id AS permitted_group,
           no.eligibility_id AS forbidding, no.vehicle_group_id AS forbidden_group
    FROM statement AS yes
    JOIN statement AS no
        ON no.make = yes.make
       AND no.model = yes.model
       AND no.towing_method = yes.towing_method
       AND no.is_emergency = yes.is_emergency
    LEFT JOIN override AS up
        ON up.statement = yes.eligibility_id AND up.target = no.eligibility_id
    LEFT JOIN override AS down
        ON down.statement = no.eligibility_id AND down.target = yes.eligibility_id
    WHERE yes.permission = 'permitted'
      AND no.permission IN ('prohibited', 'not_recommended')
      AND yes.model_year_from <= no.model_year_to
      AND no.model_year_from <= yes.model_year_to
      -- An empty bound of building, or an empty list of options, sets no condition.
      AND coalesce(yes.built_from <= no.built_to, TRUE)
      AND coalesce(no.built_from <= yes.built_to, TRUE)
      AND NOT coalesce(list_has_any(yes.options_with, no.options_without), FALSE)
      AND NOT coalesce(list_has_any(no.options_with, yes.options_without), FALSE)
      AND up.statement IS NULL
      AND down.statement IS NULL
),
listed AS (
    SELECT c.row_key, c.column_name, c.form, coalesce(l.leaf, c.word) AS leaf
    FROM towdb_data.cell AS c
    LEFT JOIN towdb_data.leaf AS l ON l.vocabulary = c.column_name AND l.word = c.word
    WHERE c.table_name = 'vehicle_group'
      AND c.form IN ('in', 'not')
      AND (
          c.row_key IN (SELECT permitted_group FROM pair)
          OR c.row_key IN (SELECT forbidden_group FROM pair)
      )
),
-- Of a vocabulary "not a" means the other leaves; of free text nobody knows what else there is.
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
    SELECT DISTINCT p.permitting, p.forbidding
    FROM pair AS p
    JOIN meant AS yes ON yes.row_key = p.permitted_group
    JOIN meant AS no ON no.row_key = p.forbidden_group AND no.column_name = yes.column_name
    WHERE CASE
        WHEN yes.form = 'in' AND no.form = 'in' THEN NOT list_has_any(yes.leaves, no.leaves)
        WHEN yes.form = 'in' THEN list_has_all(no.leaves, yes.leaves)
        WHEN no.form = 'in' THEN list_has_all(yes.leaves, no.leaves)
        ELSE FALSE
    END
)
SELECT 'eligibility' AS "table",
       p.permitting AS "key",
       'permission' AS "column",
       'permitted' AS "value",
       p.forbidding || ' forbids it: narrow one of the two groups,'
           || ' or let the exception override the rule' AS "remedy"
FROM pair AS p
LEFT JOIN apart AS a ON a.permitting = p.permitting AND a.forbidding = p.forbidding
WHERE (a.permitting IS NOT NULL) IS NOT TRUE
