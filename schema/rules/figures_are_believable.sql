-- truth: A figure lies within what is believable of its property or quantity.
-- wrong: not believable
-- severity: error
WITH bounded AS (
    -- A factor of another quantity, and what is added to it, have no range of their own.
    SELECT f.table_name, f.row_key, f.column_name, f.value, f.unit, f.canonical,
           d.minimum, d.maximum
    FROM towdb_data.figure AS f
    JOIN towdb_data.demanding_row AS n ON n.table_name = f.table_name AND n.row_key = f.row_key
    JOIN towdb_data.demand AS d
        ON d.table_name = n.table_name AND d.word = n.word AND d.dimension = f.dimension
    WHERE f.column_name IN ('value', 'also_value') AND n.times_quantity IS NULL
    UNION ALL
    -- The tow point is compared with the coach's receiver, so it is as high as one may be.
    SELECT f.table_name, f.row_key, f.column_name, f.value, f.unit, f.canonical,
           d.minimum, d.maximum
    FROM towdb_data.figure AS f
    JOIN towdb_data.demand AS d
        ON d.table_name = 'coach_property' AND d.word = 'receiver_height'
       AND d.dimension = f.dimension
    WHERE f.column_name = 'tow_point_height'
    UNION ALL
    SELECT f.table_name, f.row_key, f.column_name, f.value, f.unit, f.canonical,
           d.minimum, d.maximum
    FROM towdb_data.figure AS f
    JOIN towdb_data.demand AS d
        ON d.table_name = f.table_name AND d.word = 'speed' AND d.dimension = f.dimension
    WHERE f.column_name = 'test_speed'
),
shown AS (
    SELECT b.*,
           CAST((b.minimum - u."offset") / u.factor AS DECIMAL(18, 2)) AS low,
           CAST((b.maximum - u."offset") / u.factor AS DECIMAL(18, 2)) AS high
    FROM bounded AS b
    JOIN towdb_data.unit AS u ON u.name = b.unit
)
SELECT table_name AS "table",
       row_key AS "key",
       column_name AS "column",
       value AS "value",
       'expected ' || rtrim(rtrim(CAST(low AS VARCHAR), '0'), '.')
           || ' to ' || rtrim(rtrim(CAST(high AS VARCHAR), '0'), '.') || ' ' || unit
           || '; look at the page again' AS "remedy"
FROM shown
WHERE (canonical BETWEEN minimum AND maximum) IS NOT TRUE
