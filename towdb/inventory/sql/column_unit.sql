-- What follows the figures of each column, such as a unit.
SELECT column_name, unit, CAST(SUM(cars) AS BIGINT) AS cars
FROM (
    SELECT column_name, cars, regexp_extract(text, '^[0-9][0-9., ]*[ ]*([^0-9 .,]+)$', 1) AS unit
    FROM column_text
)
WHERE unit <> ''
GROUP BY column_name, unit
QUALIFY row_number() OVER (PARTITION BY column_name ORDER BY SUM(cars) DESC, unit) <= 8
ORDER BY column_name, cars DESC, unit
