-- The options that a group requires to be present, or absent.
-- wanted: 1 if the vehicle must have it, 0 if it must not
SELECT DISTINCT g.group_no, o.option_no, said.wanted
FROM (
    SELECT vehicle_group_id, UNNEST(STRING_SPLIT(options_with, ',')) AS option, 1 AS wanted
    FROM towdb_data.vehicle_group
    UNION ALL
    SELECT vehicle_group_id, UNNEST(STRING_SPLIT(options_without, ',')), 0
    FROM towdb_data.vehicle_group
) AS said
JOIN towdb_data.group_fact AS g ON g.vehicle_group_id = said.vehicle_group_id
JOIN towdb_data.option_number AS o
  ON o.make_model_no = g.make_model_no AND o.option = towdb_data.fold(said.option)
ORDER BY g.group_no, o.option_no, said.wanted
