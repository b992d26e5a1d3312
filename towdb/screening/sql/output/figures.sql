-- The figures of each coach, as they were read: ratings rounded down, weights up.
SELECT n.coach, f.property,
       CASE
           WHEN f.property IN ('loaded_weight', 'part_loaded_weight', 'still_to_add',
                               'unloaded_weight', 'axle_front_loaded', 'axle_rear_loaded')
           THEN lb_up(f.high_kg)
           ELSE lb_down(f.low_kg)
       END AS value_lb,
       f.is_none_stated = 1 AS none_stated,
       COALESCE(f.read_from, e.locator) AS read_from, f.checked = 1 AS checked
FROM coach_figure AS f
JOIN coach_name AS n ON n.coach_no = f.coach_no
LEFT JOIN towdb_data.entry_row AS e
  ON e.table_name = 'coach_property' AND e.row_key = f.key
WHERE f.low_kg IS NOT NULL OR f.is_none_stated = 1
ORDER BY f.coach_no, f.property, f.key
