-- truth: A permission is for a stated market, powertrain, drivetrain, transmission, transfer case.
-- wrong: a permission does not state which vehicles of this kind it is for
-- severity: error
-- `otherwise` does not count: these five decide whether towing harms the vehicle.
WITH permitted AS (
    SELECT *
    FROM towdb_data.vehicle_group
    WHERE vehicle_group_id IN (
        SELECT vehicle_group_id FROM towdb_data.eligibility WHERE permission = 'permitted'
    )
),
decisive AS (
    SELECT vehicle_group_id, 'market' AS column_name, market AS cell FROM permitted
    UNION ALL
    SELECT vehicle_group_id, 'powertrain', powertrain FROM permitted
    UNION ALL
    SELECT vehicle_group_id, 'drivetrain', drivetrain FROM permitted
    UNION ALL
    SELECT vehicle_group_id, 'transmission', transmission FROM permitted
    UNION ALL
    SELECT vehicle_group_id, 'transfer_case', transfer_case FROM permitted
)
SELECT 'vehicle_group' AS "table",
       vehicle_group_id AS "key",
       column_name AS "column",
       cell AS "value",
       'write the words that the page means, or any where it speaks of all' AS "remedy"
FROM decisive
WHERE (cell IS NOT NULL) IS NOT TRUE
