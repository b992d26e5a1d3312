-- Every statement with its group, what it amounts to, and whether it has been checked.
-- stance: permits, forbids, defers (the page sends the reader to the maker) or silent
-- checked: whether every row that it rests on has been checked
-- self_checked: whether one of these checks was by the person who had entered the row
-- awaiting: what has not been checked yet; empty: nothing
-- title: title of the source
-- withdrawn_on: from which day the source no longer holds
WITH part AS (
    SELECT eligibility_id,
           BOOL_AND(checked) AS checked,
           BOOL_OR(self_checked) AS self_checked,
           STRING_AGG(table_name || ' ' || row_key, ', ' ORDER BY table_name, row_key)
               FILTER (WHERE NOT checked) AS awaiting
    FROM towdb_data.statement_part
    GROUP BY eligibility_id
)
SELECT e.eligibility_id, e.vehicle_group_id,
       g.make, g.model, g.model_year_from, g.model_year_to, g.market,
       g.trim, g.body_style, g.engine, g.powertrain, g.drivetrain, g.transmission,
       g.transfer_case, g.steering, g.parking_brake, g.shifter, g.ignition, g.otherwise,
       g.built_from, g.built_to, g.options_with, g.options_without, g.further_condition,
       e.towing_method, e.purpose, e.permission,
       CASE e.permission
           WHEN 'permitted' THEN 'permits'
           WHEN 'prohibited' THEN 'forbids'
           WHEN 'not_recommended' THEN 'forbids'
           WHEN 'refer_to_maker' THEN 'defers'
           WHEN 'not_addressed' THEN 'silent'
       END AS stance,
       p.checked, p.self_checked, p.awaiting,
       e.section_heading, e.overrides, e.same_steps_as,
       e.source_id, e.locator, e.quote, d.title, d.withdrawn_on
FROM towdb_data.eligibility AS e
JOIN towdb_data.vehicle_group AS g ON g.vehicle_group_id = e.vehicle_group_id
JOIN part AS p ON p.eligibility_id = e.eligibility_id
JOIN towdb_data.source AS d ON d.source_id = e.source_id
