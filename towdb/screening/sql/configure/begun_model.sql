-- Cars that no model on record matches, and the model on record of their make with which the typed
-- one begins: "Pika Trail 2019". That page may be about the car or not: nothing is matched.
WITH typed_name AS (
    SELECT make, model, fold(make) AS folded_make, fold(model) AS folded
    FROM (SELECT DISTINCT make, model FROM read_make_model WHERE make_model_no = 0)
),
-- A name is cut to the few lengths that models of its make have, and looked up: to compare it with each of
-- them would take minutes for a large inventory. Materialized, or DuckDB would compare it with each.
cut AS MATERIALIZED (
    SELECT t.make, t.model, t.folded_make, substr(t.folded, 1, k.characters) AS beginning,
           substr(t.folded, k.characters + 1) AS rest
    FROM typed_name AS t
    JOIN (SELECT DISTINCT make, length(model) AS characters FROM towdb_data.make_model) AS k
      ON k.make = t.folded_make
)
SELECT c.make, c.model, arg_max(g.model, length(k.model)) AS on_record
FROM cut AS c
JOIN towdb_data.make_model AS k ON k.make = c.folded_make AND k.model = c.beginning
JOIN (
    SELECT fold(make) AS make, fold(model) AS folded, MIN(model) AS model
    FROM towdb_data.vehicle_group
    GROUP BY ALL
) AS g ON g.make = k.make AND g.folded = k.model
-- "Pikara" is another name: after the model a blank or a mark has to follow, and then something.
WHERE regexp_full_match(c.rest, '[^\p{L}\p{N}\p{M}].*[\p{L}\p{N}].*', 's')
GROUP BY ALL
