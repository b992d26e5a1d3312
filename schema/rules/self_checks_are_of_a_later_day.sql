-- truth: Nobody checks their own row on the day they entered it.
-- wrong: the row was checked by the person who had entered it the same day
-- severity: error
SELECT table_name AS "table",
       row_key AS "key",
       'checked_by' AS "column",
       checked_by AS "value",
       'have somebody else check it, or check it again on a later day' AS "remedy"
FROM towdb_data.entry_row
WHERE towdb_data.same_person(checked_by, entered_by)
  AND checked_on IS NOT NULL AND entered_on IS NOT NULL
  AND (checked_on <> entered_on) IS NOT TRUE
