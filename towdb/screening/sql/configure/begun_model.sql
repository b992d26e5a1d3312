-- Cars that no model on record matches, and the model on record of their make with which the typed
-- one begins: "Pika Trail 2019". That page may speak of the car, and it may not: nothing is matched.
SELECT m.make, m.model, arg_max(g.model, length(k.model)) AS on_record
FROM (SELECT DISTINCT make, model FROM read_make_model WHERE make_model_no = 0) AS m
JOIN towdb_data.make_model AS k
  ON k.make = fold(m.make) AND starts_with(fold(m.model), k.model)
 -- "Pikara" is another name; behind a blank or a mark something has to follow.
 AND regexp_full_match(substr(fold(m.model), length(k.model) + 1),
                       '[^\p{L}\p{N}\p{M}].*[\p{L}\p{N}].*', 's')
JOIN (
    SELECT fold(make) AS make, fold(model) AS folded, MIN(model) AS model
    FROM towdb_data.vehicle_group
    GROUP BY ALL
) AS g ON g.make = k.make AND g.folded = k.model
GROUP BY ALL
