-- The ratings and weights of coaches, exact, as screening compares them.
-- low_kg, high_kg: where a plate prints two units, the lighter and the heavier figure
-- is_none_stated: 1 if the row states that the documents give none
-- checked: 1 if the row, its coach and their sources have been checked, else 0
SELECT r.coach_property_id, r.coach_id, r.property, r.low_kg, r.high_kg,
       CASE WHEN r.word IS NOT DISTINCT FROM 'none_stated' THEN 1 ELSE 0 END AS is_none_stated,
       CASE WHEN r.checked THEN 1 ELSE 0 END AS checked
FROM towdb_data.rating AS r
ORDER BY r.coach_property_id
