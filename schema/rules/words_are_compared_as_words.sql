-- truth: Words and rules are compared by is or is_not; figures and dates by less, equal or more.
-- wrong: this cannot be compared in that way
-- severity: error
SELECT 'towing_rule_term' AS "table",
       t.towing_rule_term_id AS "key",
       'operator' AS "column",
       t.operator AS "value",
       t.quantity || CASE
           WHEN d.dimension IS NOT NULL OR d.value = 'date' THEN ' is compared by < <= = >= >'
           ELSE ' is compared by is or is_not'
       END AS "remedy"
FROM towdb_data.towing_rule_term AS t
JOIN towdb_data.demand AS d ON d.table_name = 'towing_rule_term' AND d.word = t.quantity
WHERE t.operator IS NOT NULL
  AND (
      (t.operator IN ('is', 'is_not'))
      = (d.dimension IS NULL AND d.value IS DISTINCT FROM 'date')
  ) IS NOT TRUE
