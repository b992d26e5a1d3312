-- What the reference lacks for each configuration. A page that was read and does not mention
-- towing is not a gap. A weight is a gap only where towing is not forbidden. Where all rows of it were
-- withdrawn, they are named, so that nobody looks for a page that no longer applies.
WITH named_configuration AS (
    SELECT a.*, k.is_named, COALESCE(k.make_model_no, 0) AS make_model_no
    FROM configuration_answer AS a
    JOIN configuration AS k ON k.configuration_no = a.configuration_no
    WHERE k.is_named = 1
),
permits AS (
    SELECT s.configuration_no, s.checked, e.eligibility_id,
           COALESCE(e.same_steps_as, e.eligibility_id) AS steps_of
    FROM statement_after_overrides AS s
    JOIN towdb_data.statement_fact AS f ON f.statement_no = s.statement_no
    JOIN towdb_data.eligibility AS e ON e.eligibility_id = f.eligibility_id
    WHERE s.stance = 'permits'
),
stepless AS (
    SELECT p.configuration_no, string_agg(p.eligibility_id, ', ' ORDER BY p.eligibility_id) AS named
    FROM permits AS p
    JOIN named_configuration AS a ON a.configuration_no = p.configuration_no
    WHERE a.permission_outcome <> 'not_met'
      AND p.steps_of NOT IN (SELECT eligibility_id FROM towdb_data.procedure_step)
    GROUP BY p.configuration_no
),
unchecked AS (
    SELECT p.configuration_no, string_agg(p.eligibility_id, ', ' ORDER BY p.eligibility_id) AS named
    FROM permits AS p
    JOIN named_configuration AS a ON a.configuration_no = p.configuration_no
    WHERE p.checked = 0 AND a.permission_outcome = 'unknown'
    GROUP BY p.configuration_no
),
unchecked_weight AS (
    SELECT p.configuration_no,
           string_agg(w.vehicle_property_id, ', ' ORDER BY w.vehicle_property_id) AS named
    FROM applies AS p
    JOIN towdb_data.group_weight AS w ON w.group_no = p.group_no
    WHERE p.is_certain = 1 AND w.property = 'gvwr' AND w.checked = 0
    GROUP BY p.configuration_no
),
withdrawn AS (
    SELECT p.configuration_no,
           string_agg(f.eligibility_id, ', ' ORDER BY f.eligibility_id) AS named
    FROM applies AS p
    JOIN towdb_data.statement_fact AS f ON f.group_no = p.group_no
    JOIN withdrawn_row AS x
      ON x.table_name = 'eligibility' AND x.row_key = f.eligibility_id AND x.is_checked = 1
    WHERE f.is_on_flat_towing = 1
    GROUP BY p.configuration_no
),
withdrawn_weight AS (
    SELECT p.configuration_no,
           string_agg(w.vehicle_property_id, ', ' ORDER BY w.vehicle_property_id) AS named
    FROM applies AS p
    JOIN towdb_data.group_weight AS w ON w.group_no = p.group_no
    JOIN withdrawn_row AS x
      ON x.table_name = 'vehicle_property' AND x.row_key = w.vehicle_property_id
     AND x.is_checked = 1
    WHERE w.property = 'gvwr'
    GROUP BY p.configuration_no
)
SELECT a.configuration_no, 1 AS place, 'statement' AS lacks, w.named, FALSE AS only_unweighed
FROM named_configuration AS a
LEFT JOIN withdrawn AS w ON w.configuration_no = a.configuration_no
WHERE a.permission_reason = 'nothing_on_record'
UNION ALL
SELECT configuration_no, 2, 'steps', named, FALSE FROM stepless
UNION ALL
SELECT a.configuration_no, 3, 'weight', w.named, TRUE
FROM named_configuration AS a
LEFT JOIN withdrawn_weight AS w ON w.configuration_no = a.configuration_no
WHERE a.gvwr_most_kg IS NULL AND a.permission_outcome <> 'not_met'
UNION ALL
SELECT configuration_no, 4, 'check', named, FALSE FROM unchecked
UNION ALL
SELECT a.configuration_no, 5, 'check', u.named, TRUE
FROM named_configuration AS a
JOIN unchecked_weight AS u ON u.configuration_no = a.configuration_no
WHERE a.gvwr_is_certain = 1 AND a.gvwr_is_certain_and_checked = 0 AND a.permission_outcome <> 'not_met'
