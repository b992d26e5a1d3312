-- What a person should know beside the checks: kind, the row it is about, and one more word.
SELECT d.candidate_no,
       CASE WHEN a.is_certain = 1 THEN 'emergency_only' ELSE 'emergency_possible' END AS kind,
       e.eligibility_id AS row_key, e.permission AS said
FROM candidate AS d
JOIN applies AS a ON a.configuration_no = d.configuration_no
JOIN towdb_data.statement_fact AS e ON e.group_no = a.group_no
LEFT JOIN withdrawn_row AS x
  ON x.table_name = 'eligibility' AND x.row_key = e.eligibility_id AND x.is_checked = 1
WHERE e.purpose = 'emergency' AND e.towing_method = 'four_wheels_down' AND x.row_key IS NULL
UNION ALL
-- An answer rests on a self-check.
SELECT d.candidate_no, 'self_checked', e.eligibility_id, e.permission
FROM candidate AS d
JOIN statement_after_overrides AS s ON s.configuration_no = d.configuration_no
JOIN towdb_data.statement_fact AS e ON e.statement_no = s.statement_no
WHERE e.self_checked = 1 AND s.checked = 1
UNION ALL
SELECT d.candidate_no, 'awaits_check', e.eligibility_id, e.permission
FROM candidate AS d
JOIN statement_after_overrides AS s ON s.configuration_no = d.configuration_no
JOIN towdb_data.statement_fact AS e ON e.statement_no = s.statement_no
WHERE s.checked = 0
UNION ALL
-- An override that does not act: it is unchecked, and no stricter than what it would replace.
SELECT d.candidate_no, 'override_awaits_check', f.eligibility_id, e.eligibility_id
FROM candidate AS d
JOIN applying_statement AS s ON s.configuration_no = d.configuration_no
JOIN towdb_data.override AS o ON o.target_no = s.statement_no
JOIN applying_statement AS t
  ON t.configuration_no = d.configuration_no AND t.statement_no = o.statement_no
JOIN towdb_data.statement_fact AS e ON e.statement_no = s.statement_no
JOIN towdb_data.statement_fact AS f ON f.statement_no = t.statement_no
WHERE t.checked = 0 AND t.strictness <= s.strictness
UNION ALL
-- Beside a car that may not be towed flat: what checked statements permit in another way. A withdrawal
-- ends that even before it is checked.
SELECT DISTINCT d.candidate_no, 'other_method', e.eligibility_id, e.towing_method
FROM candidate AS d
JOIN permission AS p ON p.configuration_no = d.configuration_no
JOIN applies AS a ON a.configuration_no = d.configuration_no
JOIN towdb_data.statement_fact AS e ON e.group_no = a.group_no
LEFT JOIN withdrawn_row AS x ON x.table_name = 'eligibility' AND x.row_key = e.eligibility_id
WHERE p.outcome = 'not_met' AND a.is_certain = 1 AND e.checked = 1 AND e.stance = 'permits'
  AND e.purpose <> 'emergency' AND e.towing_method <> 'four_wheels_down'
  AND x.row_key IS NULL
UNION ALL
SELECT t.candidate_no, 'weights_contradict', NULL, NULL FROM towed AS t WHERE t.contradicts = 1
UNION ALL
SELECT t.candidate_no, 'gvwr_is_far_off', NULL, NULL FROM towed AS t WHERE t.gvwr_is_far_off = 1
UNION ALL
SELECT t.candidate_no, 'weighed_below_curb', NULL, NULL FROM towed AS t WHERE t.is_below_curb = 1
UNION ALL
SELECT t.candidate_no, 'weighed_above_gvwr', NULL, NULL FROM towed AS t WHERE t.is_above_gvwr = 1
UNION ALL
SELECT d.candidate_no, 'gvwr_differs', NULL, NULL
FROM candidate AS d
JOIN configuration_answer AS a ON a.configuration_no = d.configuration_no
WHERE d.gvwr_kg < a.gvwr_least_kg OR d.gvwr_kg > a.gvwr_most_kg
UNION ALL
SELECT d.candidate_no, 'procedure_not_on_record', NULL, NULL
FROM candidate AS d
JOIN configuration AS c ON c.configuration_no = d.configuration_no
WHERE c.procedure_no = 0
UNION ALL
SELECT m.candidate_no, u.kind, NULL, u.near
FROM candidate_make AS m
JOIN unknown_name AS u ON u.make = m.make AND u.model = m.model
UNION ALL
SELECT v.candidate_no, v.kind, NULL, v.said FROM vin_year AS v
UNION ALL
-- An option that no checked group of the model uses: it may be a misspelling.
SELECT c.candidate_no, 'misspelt_option', NULL, x.item
FROM coded AS c
JOIN misspelt_option AS x
  ON x.make_model_no = c.make_model_no AND x.options = c.options
 AND x.options_complete IS NOT DISTINCT FROM c.options_complete
