-- truth: The unit of a figure measures what the figure is: a weight in a unit of mass, and so on.
-- wrong: a unit of the wrong kind
-- severity: error
WITH demanded AS (
    SELECT f.table_name, f.row_key, f.unit_column, f.unit, f.dimension,
           CASE
               WHEN f.column_name = 'test_speed' THEN 'speed'
               -- Beside another quantity the figure is a factor of it: 40 %, or 3 times.
               WHEN n.times_quantity IS NOT NULL AND f.column_name IN ('value', 'also_value')
                   THEN 'share'
               ELSE d.dimension
           END AS demanded
    FROM towdb_data.figure AS f
    JOIN towdb_data.demanding_row AS n ON n.table_name = f.table_name AND n.row_key = f.row_key
    JOIN towdb_data.demand AS d ON d.table_name = n.table_name AND d.word = n.word
    UNION ALL
    SELECT table_name, row_key, unit_column, unit, dimension, 'length'
    FROM towdb_data.figure
    WHERE table_name = 'equipment_fit'
),
listed AS (
    SELECT dimension, string_agg(name, ', ' ORDER BY name) AS units
    FROM towdb_data.unit
    GROUP BY dimension
)
SELECT d.table_name AS "table",
       d.row_key AS "key",
       d.unit_column AS "column",
       d.unit AS "value",
       'a unit of ' || d.demanded || ' is meant: ' || l.units AS "remedy"
FROM demanded AS d
JOIN listed AS l ON l.dimension = d.demanded
WHERE (d.dimension = d.demanded) IS NOT TRUE
