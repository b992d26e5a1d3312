-- truth: A figure is within the believable range of its property or quantity.
-- wrong: not believable
-- severity: error
WITH shown AS (
    SELECT b.*,
           CAST((b.minimum - u."offset") / u.factor AS DECIMAL(18, 2)) AS low,
           CAST((b.maximum - u."offset") / u.factor AS DECIMAL(18, 2)) AS high
    FROM towdb_data.demanded_figure AS b
    JOIN towdb_data.unit AS u ON u.name = b.unit
    WHERE b.has_range AND b.dimension = b.demanded_dimension
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
