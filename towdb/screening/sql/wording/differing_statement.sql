-- Statements whose procedures differ for one configuration: where each is printed, for which cars.
SELECT c.configuration_no, c.statement_no, s.title, e.locator, e.eligibility_id,
       g.* EXCLUDE (locator)
FROM considered AS c
JOIN procedure_check AS p ON p.configuration_no = c.configuration_no
    AND p.reason IN ('procedures_differ', 'chosen_not_sure')
JOIN towdb_data.statement_fact AS f ON f.statement_no = c.statement_no
JOIN towdb_data.eligibility AS e ON e.eligibility_id = f.eligibility_id
JOIN towdb_data.source AS s ON s.source_id = e.source_id
JOIN towdb_data.vehicle_group AS g ON g.vehicle_group_id = e.vehicle_group_id
ORDER BY c.configuration_no, c.statement_no
