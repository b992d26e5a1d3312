-- truth: A row that is in force cites a source that is.
-- wrong: the source has been withdrawn
-- severity: warning
WITH ended AS (
    SELECT towing_rule_id
    FROM towdb_data.towing_rule AS r
    CROSS JOIN towdb_data.judged_on AS j
    WHERE r.effective_to < j.on_date
),
past AS (
    SELECT 'towing_rule' AS table_name, towing_rule_id AS row_key FROM ended
    UNION ALL
    SELECT 'towing_rule_term', t.towing_rule_term_id
    FROM towdb_data.towing_rule_term AS t
    JOIN ended ON ended.towing_rule_id = t.towing_rule_id
)
SELECT e.table_name AS "table",
       e.row_key AS "key",
       'source_id' AS "column",
       e.source_id AS "value",
       'withdrawn on ' || s.withdrawn_on || ': enter what replaces it' AS "remedy"
FROM towdb_data.entry_row AS e
JOIN towdb_data.source AS s ON s.source_id = e.source_id
CROSS JOIN towdb_data.judged_on AS j
LEFT JOIN past AS p ON p.table_name = e.table_name AND p.row_key = e.row_key
WHERE p.row_key IS NULL AND towdb_data.is_withdrawn(s.withdrawn_on, j.on_date)
