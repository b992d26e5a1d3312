-- truth: A row is checked after it was entered.
-- wrong: the check is older than the entry
-- severity: error
SELECT table_name AS "table",
       row_key AS "key",
       'checked_on' AS "column",
       checked_on AS "value",
       'entered on ' || entered_on || ': correct the day, or have the row checked again' AS "remedy"
FROM towdb_data.entry_row
WHERE checked_on IS NOT NULL AND entered_on IS NOT NULL
  AND (checked_on >= entered_on) IS NOT TRUE
