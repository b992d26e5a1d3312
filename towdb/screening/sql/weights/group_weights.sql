-- The weights of a configuration in the reference, over the groups that it belongs to
-- surely or possibly. A gross rating can serve as the most it weighs only if a checked row of a group
-- that surely applies gives one; a curb weight as the least only if a group surely applies.
SELECT a.configuration_no,
       MIN(CASE WHEN w.property = 'gvwr' THEN w.low_kg END) AS gvwr_least_kg,
       MAX(CASE WHEN w.property = 'gvwr' THEN w.high_kg END) AS gvwr_most_kg,
       MAX(CASE WHEN w.property = 'gvwr' THEN w.low_kg END) AS gvwr_largest_rating_kg,
       MAX(CASE WHEN w.property = 'gvwr' THEN a.is_certain ELSE 0 END) AS gvwr_is_certain,
       MAX(CASE WHEN w.property = 'gvwr' AND w.checked = 1 THEN a.is_certain ELSE 0 END)
           AS gvwr_is_certain_and_checked,
       MIN(CASE WHEN w.property = 'gvwr' AND w.checked = 1 THEN w.low_kg END)
           AS gvwr_checked_least_kg,
       MAX(CASE WHEN w.property = 'gvwr' AND w.checked = 1 THEN w.high_kg END)
           AS gvwr_checked_most_kg,
       MIN(CASE WHEN w.property = 'gvwr' THEN w.high_kg END) AS gvwr_smallest_high_kg,
       MIN(CASE WHEN w.property = 'curb_weight' THEN w.low_kg END) AS curb_least_kg,
       MAX(CASE WHEN w.property = 'curb_weight' THEN w.low_kg END) AS curb_largest_low_kg,
       MIN(CASE WHEN w.property = 'curb_weight' AND w.checked = 1 THEN w.low_kg END)
           AS curb_checked_least_kg,
       MAX(CASE WHEN w.property = 'curb_weight' THEN w.high_kg END) AS curb_most_kg,
       MAX(CASE WHEN w.property = 'curb_weight' THEN a.is_certain ELSE 0 END) AS curb_is_certain
FROM applies AS a
JOIN towdb_data.group_weight AS w ON w.group_no = a.group_no
LEFT JOIN withdrawn_row AS x
  ON x.table_name = 'vehicle_property' AND x.row_key = w.vehicle_property_id AND x.is_checked = 1
WHERE x.row_key IS NULL
GROUP BY a.configuration_no
