-- How many steps, fuses and limits the page of a statement prints, and how many are entered.
-- column_name: the column of eligibility that has the printed number
-- is_shared: whether these are entered and counted at another statement, by same_steps_as
WITH entered AS (
    -- One printed step may be several rows; what is done once is printed among the steps before, and
    -- boxed warnings are not counted.
    SELECT eligibility_id,
           CASE WHEN phase IN ('once', 'before') THEN 'steps_before' ELSE 'steps_' || phase END
               AS column_name,
           count(DISTINCT towdb_data.fold(printed_no)) AS entered
    FROM towdb_data.procedure_step
    WHERE kind <> 'warning'
    GROUP BY eligibility_id, column_name
    UNION ALL
    SELECT s.eligibility_id, 'fuse_pulls', count(*)
    FROM towdb_data.fuse_pull AS f
    JOIN towdb_data.procedure_step AS s ON s.procedure_step_id = f.procedure_step_id
    GROUP BY s.eligibility_id
    UNION ALL
    SELECT eligibility_id, 'limits', count(*)
    FROM towdb_data.towing_limit
    GROUP BY eligibility_id
)
SELECT e.eligibility_id, p.column_name, p.printed, coalesce(n.entered, 0) AS entered,
       -- Limits are always the statement's own.
       e.same_steps_as IS NOT NULL AND p.column_name <> 'limits' AS is_shared
FROM towdb_data.eligibility AS e
CROSS JOIN LATERAL (
    VALUES ('steps_before', e.steps_before), ('steps_en_route', e.steps_en_route),
           ('steps_after', e.steps_after), ('fuse_pulls', e.fuse_pulls), ('limits', e.limits)
) AS p(column_name, printed)
LEFT JOIN entered AS n
    ON n.eligibility_id = e.eligibility_id AND n.column_name = p.column_name
