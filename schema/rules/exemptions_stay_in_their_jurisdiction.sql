-- truth: An exemption takes away duties of its own jurisdiction only.
-- wrong: the rule exempted from is of another jurisdiction
-- severity: error
SELECT 'towing_rule' AS "table",
       r.towing_rule_id AS "key",
       'exempts_from' AS "column",
       l.target AS "value",
       'remove ' || l.target || ', or name the rule of this jurisdiction' AS "remedy"
FROM towdb_data.link AS l
JOIN towdb_data.towing_rule AS r ON r.towing_rule_id = l.row_key
JOIN towdb_data.towing_rule AS target ON target.towing_rule_id = l.target
WHERE l.table_name = 'towing_rule' AND l.column_name = 'exempts_from'
  AND (r.jurisdiction = target.jurisdiction) IS NOT TRUE
