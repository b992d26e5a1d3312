-- truth: A statement shares the steps of a statement on the same make and model only.
-- wrong: the steps are those of another model
-- severity: error
SELECT 'eligibility' AS "table",
       e.eligibility_id AS "key",
       'same_steps_as' AS "column",
       e.same_steps_as AS "value",
       'enter the steps again, from the page of this model' AS "remedy"
FROM towdb_data.eligibility AS e
JOIN towdb_data.eligibility AS holder ON holder.eligibility_id = e.same_steps_as
JOIN towdb_data.vehicle_group AS own ON own.vehicle_group_id = e.vehicle_group_id
JOIN towdb_data.vehicle_group AS other ON other.vehicle_group_id = holder.vehicle_group_id
WHERE (
    towdb_data.fold(own.make) = towdb_data.fold(other.make)
    AND towdb_data.fold(own.model) = towdb_data.fold(other.model)
) IS NOT TRUE
