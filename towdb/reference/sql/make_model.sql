-- Every make and model that a group names, folded and numbered.
-- make_model_no: dense number, for joins
SELECT CAST(ROW_NUMBER() OVER (ORDER BY make, model) AS INTEGER) AS make_model_no, make, model
FROM (
    SELECT DISTINCT towdb_data.fold(make) AS make, towdb_data.fold(model) AS model
    FROM towdb_data.vehicle_group
) AS named
ORDER BY make_model_no
