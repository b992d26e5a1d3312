-- truth: A rule that exempts, or a search that found none, requires nothing.
-- wrong: a duty in a rule that has none
-- severity: error
SELECT 'towing_rule_term' AS "table",
       t.towing_rule_term_id AS "key",
       'part' AS "column",
       t.part AS "value",
       'write when if it is the condition; a duty needs a rule of its own that requires it'
           AS "remedy"
FROM towdb_data.towing_rule_term AS t
JOIN towdb_data.towing_rule AS r ON r.towing_rule_id = t.towing_rule_id
WHERE r.effect IN ('exempts', 'none_found') AND (t.part <> 'then') IS NOT TRUE
