-- Every statement, numbered, with what screening needs to know about it.
-- statement_no, group_no: dense numbers, for joins
-- is_on_flat_towing: 1 if it is on towing with four wheels down and not only in an emergency; only such count
-- stance: permits, forbids, defers (the page sends the reader to the maker) or silent
-- strictness: 3 forbids, 2 defers, 1 permits, 0 silent
-- checked: 1 if every row that it rests on has been checked, else 0
-- self_checked: 1 if one of these checks was by the person who had entered the row
-- awaiting: what has not been checked yet; empty: nothing
-- first_checked_on: the earliest check of it, its limits, steps and fuse pulls, once all are checked
-- withdrawn_on: from which day its source no longer applies
-- withdrawal_checked: 1 if the source row that states this has been checked
WITH part AS (
    SELECT eligibility_id,
           MIN(CASE WHEN checked THEN 1 ELSE 0 END) AS checked,
           MAX(CASE WHEN self_checked THEN 1 ELSE 0 END) AS self_checked,
           STRING_AGG(table_name || ' ' || row_key, ', ' ORDER BY table_name, row_key)
               FILTER (WHERE NOT checked) AS awaiting,
           MIN(checked_on) FILTER (WHERE table_name NOT IN ('vehicle_group', 'source'))
               AS first_checked_on
    FROM towdb_data.statement_part
    GROUP BY eligibility_id
)
SELECT CAST(ROW_NUMBER() OVER (ORDER BY e.eligibility_id) AS INTEGER) AS statement_no,
       e.eligibility_id, g.group_no, e.towing_method, e.purpose, e.permission,
       CASE WHEN e.towing_method = 'four_wheels_down' AND e.purpose <> 'emergency' THEN 1 ELSE 0 END
           AS is_on_flat_towing,
       CASE e.permission
           WHEN 'permitted' THEN 'permits'
           WHEN 'prohibited' THEN 'forbids'
           WHEN 'not_recommended' THEN 'forbids'
           WHEN 'refer_to_maker' THEN 'defers'
           ELSE 'silent'
       END AS stance,
       CASE e.permission
           WHEN 'permitted' THEN 1
           WHEN 'prohibited' THEN 3
           WHEN 'not_recommended' THEN 3
           WHEN 'refer_to_maker' THEN 2
           ELSE 0
       END AS strictness,
       p.checked, p.self_checked, p.awaiting,
       CASE WHEN p.checked = 1 THEN p.first_checked_on END AS first_checked_on,
       d.withdrawn_on,
       CASE WHEN d.checked_by IS NOT NULL THEN 1 ELSE 0 END AS withdrawal_checked
FROM towdb_data.eligibility AS e
JOIN towdb_data.group_fact AS g ON g.vehicle_group_id = e.vehicle_group_id
JOIN part AS p ON p.eligibility_id = e.eligibility_id
JOIN towdb_data.source AS d ON d.source_id = e.source_id
ORDER BY statement_no
