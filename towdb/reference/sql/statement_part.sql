-- Every row that a statement rests on: itself, its group, its limits, its steps and fuse pulls
-- (those it has by same_steps_as too), and the sources that these cite.
-- A statement counts as checked only if all of them are.
-- eligibility_id: the statement
-- table_name, row_key: the row it rests on
-- checked: whether somebody compared that row with its page after it was entered
-- checked_on: when
-- self_checked: whether that was the person who had entered it, on a later day
WITH fact AS (
    SELECT e.eligibility_id, 'eligibility' AS table_name, e.eligibility_id AS row_key,
           e.source_id, e.entered_by, e.checked_by, e.checked_on
    FROM towdb_data.eligibility AS e
    UNION ALL
    SELECT e.eligibility_id, 'vehicle_group', g.vehicle_group_id,
           g.source_id, g.entered_by, g.checked_by, g.checked_on
    FROM towdb_data.eligibility AS e
    JOIN towdb_data.vehicle_group AS g ON g.vehicle_group_id = e.vehicle_group_id
    UNION ALL
    SELECT l.eligibility_id, 'towing_limit', l.towing_limit_id,
           l.source_id, l.entered_by, l.checked_by, l.checked_on
    FROM towdb_data.towing_limit AS l
    UNION ALL
    SELECT e.eligibility_id, 'procedure_step', s.procedure_step_id,
           s.source_id, s.entered_by, s.checked_by, s.checked_on
    FROM towdb_data.eligibility AS e
    JOIN towdb_data.procedure_step AS s
      ON s.eligibility_id = COALESCE(e.same_steps_as, e.eligibility_id)
    UNION ALL
    SELECT e.eligibility_id, 'fuse_pull', f.fuse_pull_id,
           f.source_id, f.entered_by, f.checked_by, f.checked_on
    FROM towdb_data.eligibility AS e
    JOIN towdb_data.procedure_step AS s
      ON s.eligibility_id = COALESCE(e.same_steps_as, e.eligibility_id)
    JOIN towdb_data.fuse_pull AS f ON f.procedure_step_id = s.procedure_step_id
),
part AS (
    SELECT eligibility_id, table_name, row_key, entered_by, checked_by, checked_on FROM fact
    UNION
    SELECT f.eligibility_id, 'source', d.source_id, d.entered_by, d.checked_by, d.checked_on
    FROM fact AS f
    JOIN towdb_data.source AS d ON d.source_id = f.source_id
)
SELECT eligibility_id, table_name, row_key,
       checked_by IS NOT NULL AS checked, checked_on,
       towdb_data.same_person(checked_by, entered_by) AS self_checked
FROM part
ORDER BY eligibility_id, table_name, row_key
