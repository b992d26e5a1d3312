-- Each row of the inventory: what cannot be read, or what it says. Of two cars of one name it could not
-- be said whose verdict one is.
SELECT candidate, configuration_no, as_weighed_kg, gvwr_kg, curb_kg, load_kg,
       CASE
           WHEN candidate IS NULL OR named = 1 THEN unreadable
           WHEN unreadable IS NULL THEN named_twice
           ELSE CONCAT(unreadable, ' · ', named_twice)
       END AS unreadable
FROM (
    SELECT r.*, COUNT(*) OVER (PARTITION BY r.candidate) AS named
    FROM read_row AS r
) AS n
