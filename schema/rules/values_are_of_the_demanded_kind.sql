-- truth: A property or comparison has the figure, word or date that it demands, and nothing else.
-- wrong: not the kind of value that this demands
-- severity: error
WITH demanded AS (
    SELECT s.*,
           d.dimension IS NOT NULL AS may_be_figure,
           d.vocabulary IS NOT NULL OR d.value IS NOT DISTINCT FROM 'rule' AS may_be_word,
           d.value IS NOT DISTINCT FROM 'date' AS is_date,
           CASE
               WHEN d.dimension IS NOT NULL AND d.vocabulary IS NOT NULL
                   THEN 'either a figure with its unit, or one of its words'
               WHEN d.dimension IS NOT NULL THEN 'a figure with its unit'
               WHEN d.value = 'date' THEN 'a date'
               WHEN d.value = 'rule' THEN 'the id of a rule, as a word'
               ELSE 'a word'
           END AS kind
    FROM towdb_data.demanding_row AS s
    JOIN towdb_data.demand AS d ON d.table_name = s.table_name AND d.word = s.name
    -- A limit that the page states without a number has none; that is a rule of its own.
    WHERE s.table_name <> 'towing_limit'
),
judged AS (
    SELECT table_name, row_key, name, kind, 'value' AS column_name,
           CAST(value AS VARCHAR) AS cell,
           CASE
               WHEN may_be_figure AND may_be_word THEN (value IS NULL) <> (word IS NULL)
               ELSE (value IS NOT NULL) = may_be_figure
           END AS right_kind
    FROM demanded
    UNION ALL
    SELECT table_name, row_key, name, kind, 'word', word,
           (may_be_figure AND may_be_word) OR (word IS NOT NULL) = may_be_word
    FROM demanded
    UNION ALL
    SELECT table_name, row_key, name, kind, 'date_value', CAST(date_value AS VARCHAR),
           (date_value IS NOT NULL) = is_date
    FROM demanded
)
SELECT table_name AS "table",
       row_key AS "key",
       column_name AS "column",
       cell AS "value",
       name || ' is ' || kind || ': '
           || CASE WHEN cell IS NULL THEN 'fill it in' ELSE 'leave this empty' END AS "remedy"
FROM judged
WHERE right_kind IS NOT TRUE
