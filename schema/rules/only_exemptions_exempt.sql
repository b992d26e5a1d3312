-- truth: Only a rule that exempts names rules from which it exempts.
-- wrong: this rule exempts from nothing
-- severity: error
SELECT 'towing_rule' AS "table",
       towing_rule_id AS "key",
       'exempts_from' AS "column",
       exempts_from AS "value",
       'leave it empty, or write exempts as the effect' AS "remedy"
FROM towdb_data.towing_rule
WHERE exempts_from IS NOT NULL AND effect IS NOT NULL AND (effect = 'exempts') IS NOT TRUE
