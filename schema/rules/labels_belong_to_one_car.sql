-- truth: The group of a door label names trim, engine, drivetrain and transmission of its car.
-- wrong: a door label is of one car, and this group is not
-- severity: error
WITH labelled AS (
    SELECT DISTINCT p.vehicle_group_id
    FROM towdb_data.vehicle_property AS p
    JOIN towdb_data.source AS s ON s.source_id = p.source_id
    WHERE s.kind = 'certification_label'
)
SELECT DISTINCT 'vehicle_group' AS "table",
       c.row_key AS "key",
       c.column_name AS "column",
       CASE c.form WHEN 'any' THEN 'any' END AS "value",
       'name that of the car that bears the label, in a group of its own' AS "remedy"
FROM labelled AS l
JOIN towdb_data.cell AS c
    ON c.table_name = 'vehicle_group' AND c.row_key = l.vehicle_group_id
WHERE c.column_name IN ('trim', 'engine', 'drivetrain', 'transmission')
  AND (c.form IN ('in', 'not')) IS NOT TRUE
