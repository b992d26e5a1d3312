-- truth: The gross weight rating of a group is not below its curb weight.
-- wrong: the gross weight rating is below the curb weight
-- severity: error
-- Of a pair of units, the reading in favour of the page: only what no rounding explains is wrong.
WITH weight AS (
    SELECT p.vehicle_property_id, p.vehicle_group_id, p.property, p.value, p.unit,
           min(f.canonical) AS low, max(f.canonical) AS high
    FROM towdb_data.vehicle_property AS p
    JOIN towdb_data.figure AS f
        ON f.table_name = 'vehicle_property' AND f.row_key = p.vehicle_property_id
    WHERE p.property IN ('gvwr', 'curb_weight') AND f.dimension = 'mass'
    GROUP BY p.vehicle_property_id, p.vehicle_group_id, p.property, p.value, p.unit
),
curb AS (
    SELECT vehicle_group_id, max(low) AS low, arg_max(value || ' ' || unit, low) AS printed
    FROM weight
    WHERE property = 'curb_weight'
    GROUP BY vehicle_group_id
)
SELECT 'vehicle_property' AS "table",
       g.vehicle_property_id AS "key",
       'value' AS "column",
       g.value AS "value",
       'the curb weight is ' || curb.printed || ': compare both with their pages' AS "remedy"
FROM weight AS g
JOIN curb ON curb.vehicle_group_id = g.vehicle_group_id
WHERE g.property = 'gvwr' AND (g.high >= curb.low) IS NOT TRUE
