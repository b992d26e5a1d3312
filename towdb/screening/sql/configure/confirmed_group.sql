-- The groups of the make and model whose further condition a person has confirmed.
SELECT c.make_model_no, c.confirmed, g.group_no
FROM (SELECT DISTINCT make_model_no, confirmed FROM coded WHERE confirmed IS NOT NULL) AS c
JOIN read_confirmed AS r ON r.raw = c.confirmed
JOIN towdb_data.group_fact AS g
  ON g.make_model_no = c.make_model_no AND g.has_further_condition = 1
 AND list_contains(r.items, g.vehicle_group_id)
