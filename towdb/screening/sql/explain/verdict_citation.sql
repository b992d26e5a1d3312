-- The rows of the reference, and the figures of a coach file, that checks and conditions rest on.
WITH weighed AS (
    SELECT 3 AS check_no, 'hitch_receiver' AS check_name
    UNION ALL
    SELECT 4, 'combination_rating'
    UNION ALL
    SELECT 5, 'towing_capacity'
    UNION ALL
    SELECT 7, 'towed_gross'
),
figured AS (
    SELECT f.coach_no, f.key, f.property, 3 AS check_no, 'hitch_receiver' AS check_name
    FROM coach_figure AS f
    WHERE f.property IN ('hitch_receiver', 'hitch_receiver_mode_not_printed')
    UNION ALL
    SELECT f.coach_no, f.key, f.property, 4, 'combination_rating'
    FROM coach_figure AS f
    WHERE f.property IN ('gcwr', 'loaded_weight', 'part_loaded_weight', 'still_to_add',
                         'unloaded_weight', 'axle_front_loaded', 'axle_rear_loaded', 'gvwr')
    UNION ALL
    SELECT f.coach_no, f.key, f.property, 5, 'towing_capacity'
    FROM coach_figure AS f
    WHERE f.property = 'towing_capacity'
    UNION ALL
    SELECT f.coach_no, f.key, f.property, 6, 'coach_gross'
    FROM coach_figure AS f
    WHERE f.property IN ('gvwr', 'loaded_weight', 'part_loaded_weight', 'still_to_add',
                         'unloaded_weight', 'axle_front_loaded', 'axle_rear_loaded',
                         'gawr_front', 'gawr_rear')
),
cited_row AS (
    -- Permission: what decides it; where it is open, every statement that still counts.
    SELECT v.candidate_no, v.coach_no, 1 AS check_no, 'permission' AS check_name,
           'eligibility' AS table_name, e.eligibility_id AS row_key
    FROM verdict_kg AS v
    JOIN statement_after_overrides AS s ON s.configuration_no = v.configuration_no
    JOIN towdb_data.statement_fact AS e ON e.statement_no = s.statement_no
    WHERE v.permission_outcome = 'unknown'
       OR (v.permission_outcome = 'met' AND s.stance = 'permits' AND s.is_certain = 1 AND s.checked = 1)
       OR (v.permission_outcome = 'not_met' AND s.stance = 'forbids' AND s.is_certain = 1)
    UNION ALL
    SELECT v.candidate_no, v.coach_no, 2, 'procedure', 'eligibility', e.eligibility_id
    FROM verdict_kg AS v
    JOIN considered AS s ON s.configuration_no = v.configuration_no
    JOIN configuration AS c ON c.configuration_no = v.configuration_no
    JOIN towdb_data.statement_fact AS e ON e.statement_no = s.statement_no
    WHERE v.procedure_reason <> 'chosen' OR s.statement_no = c.procedure_no
    UNION ALL
    -- Weights of the car: the reference's figures, where they were used, or contradict what was typed.
    SELECT v.candidate_no, v.coach_no, k.check_no, k.check_name, 'vehicle_property',
           w.vehicle_property_id
    FROM verdict_kg AS v
    CROSS JOIN call AS q
    JOIN candidate AS d ON d.candidate_no = v.candidate_no
    JOIN towed AS t ON t.candidate_no = v.candidate_no
    JOIN applies AS a ON a.configuration_no = v.configuration_no
    JOIN towdb_data.group_weight AS w ON w.group_no = a.group_no
    LEFT JOIN withdrawn_row AS x
      ON x.table_name = 'vehicle_property' AND x.row_key = w.vehicle_property_id
     AND x.is_checked = 1
    CROSS JOIN weighed AS k
    WHERE x.row_key IS NULL
      AND (k.check_no <> 5 OR v.capacity_outcome <> 'not_applicable')
      AND ((k.check_no <> 7 AND (d.as_weighed_kg IS NULL OR q.weigh_by = 'gvwr')
            AND ((w.property = 'gvwr' AND (d.gvwr_kg IS NULL OR t.gvwr_is_far_off = 1))
                 OR (w.property = 'curb_weight' AND d.curb_kg IS NULL)))
           OR (w.property = 'curb_weight' AND t.weighing_contradicts = 1)
           OR (k.check_no = 7 AND d.as_weighed_kg IS NOT NULL AND w.property = 'gvwr'
               AND d.gvwr_kg IS NULL))
    UNION ALL
    -- Figures of the coach.
    SELECT v.candidate_no, v.coach_no, f.check_no, f.check_name,
           CASE WHEN f.key IS NULL THEN 'coach_file' ELSE 'coach_property' END,
           COALESCE(f.key, f.property)
    FROM verdict_kg AS v
    JOIN figured AS f ON f.coach_no = v.coach_no
),
conditioned AS (
    SELECT candidate_no, coach_no, 8 AS check_no, NULL AS check_name,
           kind AS condition, table_name, row_key
    FROM verdict_condition
),
every AS (
    SELECT DISTINCT candidate_no, coach_no, check_no, check_name,
           NULL AS condition, table_name, row_key
    FROM cited_row
    UNION ALL
    SELECT DISTINCT candidate_no, coach_no, check_no, check_name, condition, table_name, row_key
    FROM conditioned
)
SELECT x.candidate_no, x.coach_no, x.check_no, x.check_name, x.condition, x.table_name, x.row_key,
       r.source_id, COALESCE(r.locator, f.read_from) AS locator, s.title, r.quote
FROM every AS x
LEFT JOIN towdb_data.entry_row AS r ON r.table_name = x.table_name AND r.row_key = x.row_key
LEFT JOIN towdb_data.source AS s ON s.source_id = r.source_id
LEFT JOIN (
    SELECT coach_no, property, MIN(read_from) AS read_from
    FROM coach_figure
    WHERE key IS NULL AND property IS NOT NULL
    GROUP BY coach_no, property
) AS f ON x.table_name = 'coach_file' AND f.coach_no = x.coach_no AND f.property = x.row_key
