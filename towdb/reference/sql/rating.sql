-- Every rating and weight of a coach on record, as printed and as an exact interval.
-- low_kg, high_kg: exact; where a plate prints two units, the lighter and the heavier figure
-- low_lb, high_lb: for reading: to 0.1 lb, the low end rounded down and the high end up
-- word: none_stated, where the documents were searched and state no figure
-- checked: whether the row, its coach and their sources have been checked
-- title: title of the source
WITH span AS (
    SELECT row_key, CAST(MIN(canonical) AS DECIMAL(18,10)) AS low_kg,
           CAST(MAX(canonical) AS DECIMAL(18,10)) AS high_kg
    FROM towdb_data.figure
    WHERE table_name = 'coach_property' AND dimension = 'mass'
    GROUP BY row_key
)
SELECT p.coach_property_id, p.coach_id, c.name, c.model_year, p.property,
       p.value, p.unit, p.also_value, p.also_unit, p.word, s.low_kg, s.high_kg,
       towdb_data.lb_down(s.low_kg) AS low_lb,
       towdb_data.lb_up(s.high_kg) AS high_lb,
       p.definition, p.basis,
       k.row_key IS NOT NULL AS checked,
       p.source_id, p.locator, p.quote, d.title
FROM towdb_data.coach_property AS p
JOIN towdb_data.demand AS m
  ON m.table_name = 'coach_property' AND m.word = p.property AND m.dimension = 'mass'
LEFT JOIN span AS s ON s.row_key = p.coach_property_id
JOIN towdb_data.coach AS c ON c.coach_id = p.coach_id
JOIN towdb_data.source AS d ON d.source_id = p.source_id
LEFT JOIN towdb_data.checked_row AS k
  ON k.table_name = 'coach_property' AND k.row_key = p.coach_property_id
