-- Every weight of a vehicle on record, as printed and as an exact interval.
-- low_kg, high_kg: exact; where a page prints two units, the lighter and the heavier figure
-- low_lb, high_lb: for reading: to 0.1 lb, the low end rounded down and the high end up
-- checked: whether the row, its group and their sources have been checked
-- title: title of the source
WITH span AS (
    SELECT row_key, CAST(MIN(canonical) AS DECIMAL(18,10)) AS low_kg,
           CAST(MAX(canonical) AS DECIMAL(18,10)) AS high_kg
    FROM towdb_data.figure
    WHERE table_name = 'vehicle_property' AND dimension = 'mass'
    GROUP BY row_key
)
SELECT p.vehicle_property_id, p.vehicle_group_id, g.make, g.model, g.model_year_from,
       g.model_year_to, p.property, p.value, p.unit, p.also_value, p.also_unit,
       s.low_kg, s.high_kg,
       towdb_data.lb_down(s.low_kg) AS low_lb,
       towdb_data.lb_up(s.high_kg) AS high_lb,
       p.definition, p.basis,
       c.row_key IS NOT NULL AS checked,
       p.source_id, p.locator, p.quote, d.title
FROM towdb_data.vehicle_property AS p
JOIN span AS s ON s.row_key = p.vehicle_property_id
JOIN towdb_data.vehicle_group AS g ON g.vehicle_group_id = p.vehicle_group_id
JOIN towdb_data.source AS d ON d.source_id = p.source_id
LEFT JOIN towdb_data.checked_row AS c
  ON c.table_name = 'vehicle_property' AND c.row_key = p.vehicle_property_id
