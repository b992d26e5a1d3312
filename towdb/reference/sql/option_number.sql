-- Every option that a group of a make and model names, numbered.
-- option_no: dense number, for joins
-- option: its name, folded
SELECT CAST(ROW_NUMBER() OVER (ORDER BY make_model_no, option) AS INTEGER) AS option_no,
       make_model_no, option
FROM (
    SELECT DISTINCT g.make_model_no,
           towdb_data.fold(UNNEST(STRING_SPLIT(
               CONCAT_WS(',', v.options_with, v.options_without), ','
           ))) AS option
    FROM towdb_data.vehicle_group AS v
    JOIN towdb_data.group_fact AS g ON g.vehicle_group_id = v.vehicle_group_id
    WHERE v.options_with IS NOT NULL OR v.options_without IS NOT NULL
) AS named
ORDER BY option_no
