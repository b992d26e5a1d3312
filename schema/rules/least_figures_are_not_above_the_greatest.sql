-- truth: The shortest length and least drop of a part are not above its longest and greatest.
-- wrong: the least figure is above the greatest
-- severity: error
WITH named AS (
    SELECT p.equipment_property_id, p.equipment_id, p.property, p.value, p.unit, f.canonical
    FROM towdb_data.equipment_property AS p
    JOIN towdb_data.figure AS f
        ON f.table_name = 'equipment_property' AND f.row_key = p.equipment_property_id
       AND f.column_name = 'value' AND f.dimension = 'length'
),
greatest_figure AS (
    SELECT equipment_id, replace(property, '_max', '_min') AS least,
           max(canonical) AS canonical, arg_max(value || ' ' || unit, canonical) AS printed
    FROM named
    WHERE property IN ('length_max', 'drop_max')
    GROUP BY equipment_id, property
)
SELECT 'equipment_property' AS "table",
       n.equipment_property_id AS "key",
       'value' AS "column",
       n.value AS "value",
       'the greatest is ' || g.printed || ': compare both with the page' AS "remedy"
FROM named AS n
JOIN greatest_figure AS g ON g.equipment_id = n.equipment_id AND g.least = n.property
WHERE (n.canonical <= g.canonical) IS NOT TRUE
