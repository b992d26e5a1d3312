-- truth: Every row has been compared with its page after it was entered.
-- wrong: the row awaits its check; until then it may forbid, but not permit
-- severity: warning
SELECT table_name AS "table",
       row_key AS "key",
       'checked_by' AS "column",
       checked_by AS "value",
       'have a second person compare it with the page' AS "remedy"
FROM towdb_data.entry_row
WHERE (checked_by IS NOT NULL OR checked_on IS NOT NULL) IS NOT TRUE
