-- truth: A statement overrides only those on its own model, towing method and kind of purpose.
-- wrong: the statement overridden is about something else
-- severity: error
WITH statement AS (
    SELECT e.eligibility_id, e.towing_method, e.purpose = 'emergency' AS is_emergency,
           towdb_data.fold(g.make) AS make, towdb_data.fold(g.model) AS model
    FROM towdb_data.eligibility AS e
    JOIN towdb_data.vehicle_group AS g ON g.vehicle_group_id = e.vehicle_group_id
)
SELECT 'eligibility' AS "table",
       own.eligibility_id AS "key",
       'overrides' AS "column",
       l.target AS "value",
       'remove ' || l.target || ': it is about another '
           || CASE
               WHEN (own.make = other.make) IS NOT TRUE THEN 'make'
               WHEN (own.model = other.model) IS NOT TRUE THEN 'model'
               WHEN (own.towing_method = other.towing_method) IS NOT TRUE THEN 'towing method'
               ELSE 'kind of purpose (emergency or not)'
           END AS "remedy"
FROM towdb_data.link AS l
JOIN statement AS own ON own.eligibility_id = l.row_key
JOIN statement AS other ON other.eligibility_id = l.target
WHERE l.table_name = 'eligibility' AND l.column_name = 'overrides'
  AND (
      own.make = other.make
      AND own.model = other.model
      AND own.towing_method = other.towing_method
      AND own.is_emergency = other.is_emergency
  ) IS NOT TRUE
