-- truth: As many steps, fuses and limits are entered as the page prints.
-- wrong: the number printed is not the number entered
-- severity: error
SELECT 'eligibility' AS "table",
       p.eligibility_id AS "key",
       p.column_name AS "column",
       p.printed AS "value",
       'printed ' || p.printed || ', entered ' || p.entered
           || ': enter what is missing, or count again' AS "remedy"
FROM towdb_data.printed_count AS p
WHERE p.printed IS NOT NULL AND NOT p.is_shared AND (p.printed = p.entered) IS NOT TRUE
