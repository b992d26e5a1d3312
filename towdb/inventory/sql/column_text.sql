-- Each distinct text of each column of an inventory, and how many cars have it.
SELECT column_name, text, COUNT(*) AS cars
FROM (
    SELECT column_name, trim(raw, E' \t\r\n') AS text
    FROM (UNPIVOT (SELECT * EXCLUDE (candidate_no) FROM inventory_rows)
          ON COLUMNS(*) INTO NAME column_name VALUE raw)
)
WHERE text <> ''
GROUP BY column_name, text
