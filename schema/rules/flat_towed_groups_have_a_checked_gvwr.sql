-- truth: A group with a statement on four wheels has a checked gross weight rating.
-- wrong: no checked gross weight rating: vehicles of this group must be weighed
-- severity: warning
-- As a screening counts it: the row, its group, and what each of them cites have been checked.
WITH rated AS (
    SELECT p.vehicle_group_id
    FROM towdb_data.vehicle_property AS p
    JOIN towdb_data.checked_row AS r
        ON r.table_name = 'vehicle_property' AND r.row_key = p.vehicle_property_id
    WHERE p.property = 'gvwr'
)
SELECT DISTINCT 'vehicle_group' AS "table",
       g.vehicle_group_id AS "key",
       'vehicle_group_id' AS "column",
       g.vehicle_group_id AS "value",
       'enter its gvwr as a vehicle_property; have it, the group and their sources checked'
           AS "remedy"
FROM towdb_data.vehicle_group AS g
JOIN towdb_data.eligibility AS e
    ON e.vehicle_group_id = g.vehicle_group_id AND e.towing_method = 'four_wheels_down'
LEFT JOIN rated AS r ON r.vehicle_group_id = g.vehicle_group_id
WHERE (r.vehicle_group_id IS NOT NULL) IS NOT TRUE
