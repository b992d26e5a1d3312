-- truth: As many steps, fuses and limits are entered as the page prints.
-- wrong: the number printed is not the number entered
-- severity: error
WITH entered AS (
    -- One printed step may be several rows; boxed warnings are not counted.
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
SELECT 'eligibility' AS "table",
       p.eligibility_id AS "key",
       p.column_name AS "column",
       p.printed AS "value",
       'printed ' || p.printed || ', entered ' || coalesce(e.entered, 0)
           || ': enter what is missing, or count again' AS "remedy"
FROM towdb_data.printed_count AS p
LEFT JOIN entered AS e
    ON e.eligibility_id = p.eligibility_id AND e.column_name = p.column_name
WHERE NOT p.is_shared AND p.printed IS NOT NULL
  AND (p.printed = coalesce(e.entered, 0)) IS NOT TRUE
