-- The ratings and weights of coaches, exact, as screening compares them.
-- low_kg, high_kg: where a plate prints two units, the lighter and the heavier figure
-- is_none_stated: 1 if the row says that the documents state none
-- checked: 1 if the row, its coach and their sources have been checked, else 0
-- withdrawn_on: from which day the source no longer holds
-- withdrawal_checked: 1 if the source row that says so has been checked
SELECT r.coach_property_id, r.coach_id, r.property, r.low_kg, r.high_kg,
       CASE WHEN r.word IS NOT DISTINCT FROM 'none_stated' THEN 1 ELSE 0 END AS is_none_stated,
       CASE WHEN r.checked THEN 1 ELSE 0 END AS checked,
       d.withdrawn_on,
       CASE WHEN d.checked_by IS NOT NULL THEN 1 ELSE 0 END AS withdrawal_checked
FROM towdb_data.rating AS r
JOIN towdb_data.source AS d ON d.source_id = r.source_id
ORDER BY r.coach_property_id
