-- truth: A factor names a like quantity, and how that is measured.
-- wrong: it is not clear what is multiplied
-- severity: error
WITH term AS (
    SELECT t.*, d.dimension, times.dimension AS times_dimension
    FROM towdb_data.towing_rule_term AS t
    LEFT JOIN towdb_data.demand AS d
        ON d.table_name = 'towing_rule_term' AND d.word = t.quantity
    LEFT JOIN towdb_data.demand AS times
        ON times.table_name = 'towing_rule_term' AND times.word = t.times_quantity
)
SELECT 'towing_rule_term' AS "table",
       towing_rule_term_id AS "key",
       'times_measured_as' AS "column",
       times_measured_as AS "value",
       'fill in both times_quantity and times_measured_as, or neither' AS "remedy"
FROM term
WHERE ((times_quantity IS NULL) = (times_measured_as IS NULL)) IS NOT TRUE
UNION ALL
SELECT 'towing_rule_term', towing_rule_term_id, 'times_quantity', times_quantity,
       'name a quantity that can be compared with ' || quantity
FROM term
WHERE times_quantity IS NOT NULL AND quantity IS NOT NULL
  AND (dimension = times_dimension) IS NOT TRUE
UNION ALL
SELECT 'towing_rule_term', towing_rule_term_id, 'plus_value', CAST(plus_value AS VARCHAR),
       'add it to the value, or fill in times_quantity'
FROM term
WHERE plus_value IS NOT NULL AND (times_quantity IS NOT NULL) IS NOT TRUE
