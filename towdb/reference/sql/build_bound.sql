-- The days on which a condition on the build date begins or ends, for each make and model.
-- starts_on: first day after the bound
-- bound_no: 1 for the earliest bound of the make and model
SELECT make_model_no, starts_on,
       CAST(ROW_NUMBER() OVER (PARTITION BY make_model_no ORDER BY starts_on) AS INTEGER)
           AS bound_no
FROM (
    SELECT m.make_model_no, g.built_from AS starts_on
    FROM towdb_data.vehicle_group AS g
    JOIN towdb_data.make_model AS m
      ON m.make = towdb_data.fold(g.make) AND m.model = towdb_data.fold(g.model)
    WHERE g.built_from IS NOT NULL
    UNION
    SELECT m.make_model_no, CAST(g.built_to + INTERVAL 1 DAY AS DATE)
    FROM towdb_data.vehicle_group AS g
    JOIN towdb_data.make_model AS m
      ON m.make = towdb_data.fold(g.make) AND m.model = towdb_data.fold(g.model)
    WHERE g.built_to IS NOT NULL
) AS bound
ORDER BY make_model_no, bound_no
