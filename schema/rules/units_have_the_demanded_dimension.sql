-- truth: The unit of a figure measures what the figure is: a weight in a unit of mass, and so on.
-- wrong: a unit of the wrong kind
-- severity: error
WITH listed AS (
    SELECT dimension, string_agg(name, ', ' ORDER BY name) AS units
    FROM towdb_data.unit
    GROUP BY dimension
)
SELECT d.table_name AS "table",
       d.row_key AS "key",
       d.unit_column AS "column",
       d.unit AS "value",
       'a unit of ' || d.demanded_dimension || ' is meant: ' || l.units AS "remedy"
FROM towdb_data.demanded_figure AS d
JOIN listed AS l ON l.dimension = d.demanded_dimension
WHERE (d.dimension = d.demanded_dimension) IS NOT TRUE
