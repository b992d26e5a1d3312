-- Every group, numbered, with its bounds.
-- group_no: dense number, for joins
-- built_from_no, built_to_no: the bounds of building, as numbers of build_bound; empty: no bound
-- has_further_condition: 1 if a person must confirm a printed condition for each car
-- checked: 1 if the group and its source have been checked, else 0
SELECT CAST(ROW_NUMBER() OVER (ORDER BY g.vehicle_group_id) AS INTEGER) AS group_no,
       g.vehicle_group_id, m.make_model_no, g.model_year_from, g.model_year_to,
       lower_bound.bound_no AS built_from_no, upper_bound.bound_no AS built_to_no,
       CASE WHEN g.further_condition IS NOT NULL THEN 1 ELSE 0 END AS has_further_condition,
       CASE WHEN c.row_key IS NOT NULL THEN 1 ELSE 0 END AS checked
FROM towdb_data.vehicle_group AS g
LEFT JOIN towdb_data.checked_row AS c
  ON c.table_name = 'vehicle_group' AND c.row_key = g.vehicle_group_id
JOIN towdb_data.make_model AS m
  ON m.make = towdb_data.fold(g.make) AND m.model = towdb_data.fold(g.model)
LEFT JOIN towdb_data.build_bound AS lower_bound
  ON lower_bound.make_model_no = m.make_model_no AND lower_bound.starts_on = g.built_from
LEFT JOIN towdb_data.build_bound AS upper_bound
  ON upper_bound.make_model_no = m.make_model_no
 AND upper_bound.starts_on = CAST(g.built_to + INTERVAL 1 DAY AS DATE)
ORDER BY group_no
