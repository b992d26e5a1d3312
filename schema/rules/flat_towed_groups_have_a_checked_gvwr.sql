-- truth: A group with a statement on four wheels has a checked gross weight rating.
-- wrong: no checked gross weight rating: vehicles of this group must be weighed
-- severity: warning
SELECT DISTINCT 'vehicle_group' AS "table",
       g.vehicle_group_id AS "key",
       'vehicle_group_id' AS "column",
       g.vehicle_group_id AS "value",
       'enter the gvwr of this group as a vehicle_property, and have it checked' AS "remedy"
FROM towdb_data.vehicle_group AS g
JOIN towdb_data.eligibility AS e
    ON e.vehicle_group_id = g.vehicle_group_id AND e.towing_method = 'four_wheels_down'
LEFT JOIN towdb_data.vehicle_property AS p
    ON p.vehicle_group_id = g.vehicle_group_id AND p.property = 'gvwr'
   AND p.checked_by IS NOT NULL AND p.checked_on IS NOT NULL
WHERE (p.vehicle_property_id IS NOT NULL) IS NOT TRUE
