-- truth: Following overrides from statement to statement comes to an end.
-- wrong: the statement overrides itself, perhaps through others
-- severity: error
-- What fifty steps lead to and from is on a circle: no page has so many exceptions.
WITH RECURSIVE override AS (
    SELECT row_key AS statement, target
    FROM towdb_data.link
    WHERE table_name = 'eligibility' AND column_name = 'overrides'
),
walk_from(statement, steps) USING KEY (statement) AS (
    SELECT DISTINCT statement, 1 FROM override
    UNION
    SELECT o.statement, max(w.steps) + 1
    FROM walk_from AS w
    JOIN override AS o ON o.target = w.statement
    WHERE w.steps < 50
    GROUP BY o.statement
),
walk_to(statement, steps) USING KEY (statement) AS (
    SELECT DISTINCT target, 1 FROM override
    UNION
    SELECT o.target, max(w.steps) + 1
    FROM walk_to AS w
    JOIN override AS o ON o.statement = w.statement
    WHERE w.steps < 50
    GROUP BY o.target
)
SELECT 'eligibility' AS "table",
       e.eligibility_id AS "key",
       'overrides' AS "column",
       e.overrides AS "value",
       'make the exception override the rule, not the rule the exception' AS "remedy"
FROM towdb_data.eligibility AS e
JOIN walk_from AS f ON f.statement = e.eligibility_id
JOIN walk_to AS t ON t.statement = e.eligibility_id
WHERE (f.steps < 50 OR t.steps < 50) IS NOT TRUE
