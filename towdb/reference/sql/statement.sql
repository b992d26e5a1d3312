-- Every statement with its group, its stance, and whether it has been checked.
-- stance: permits, forbids, defers (the page sends the reader to the maker) or silent
-- checked: whether every row that it rests on has been checked
-- self_checked: whether one of these checks was by the person who had entered the row
-- awaiting: what has not been checked yet; empty: nothing
-- title: title of the source
-- withdrawn_on: from which day the source no longer applies
SELECT e.eligibility_id, e.vehicle_group_id,
       g.make, g.model, g.model_year_from, g.model_year_to, g.market,
       g.trim, g.body_style, g.engine, g.powertrain, g.drivetrain, g.transmission,
       g.transfer_case, g.steering, g.parking_brake, g.shifter, g.ignition, g.otherwise,
       g.built_from, g.built_to, g.options_with, g.options_without, g.further_condition,
       e.towing_method, e.purpose, e.permission,
       f.stance, f.checked = 1 AS checked, f.self_checked = 1 AS self_checked, f.awaiting,
       e.section_heading, e.overrides, e.same_steps_as,
       e.source_id, e.locator, e.quote, d.title, d.withdrawn_on
FROM towdb_data.eligibility AS e
JOIN towdb_data.vehicle_group AS g ON g.vehicle_group_id = e.vehicle_group_id
JOIN towdb_data.statement_fact AS f ON f.eligibility_id = e.eligibility_id
JOIN towdb_data.source AS d ON d.source_id = e.source_id
