-- truth: A rule that requires something states what, in a comparison of part then.
-- wrong: nothing states what the rule requires
-- severity: error
SELECT 'towing_rule' AS "table",
       r.towing_rule_id AS "key",
       'effect' AS "column",
       r.effect AS "value",
       'enter a towing_rule_term of part then' AS "remedy"
FROM towdb_data.towing_rule AS r
LEFT JOIN (
    SELECT DISTINCT towing_rule_id FROM towdb_data.towing_rule_term WHERE part = 'then'
) AS duty ON duty.towing_rule_id = r.towing_rule_id
WHERE r.effect = 'requires' AND (duty.towing_rule_id IS NOT NULL) IS NOT TRUE
