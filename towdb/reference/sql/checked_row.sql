-- Rows that have been checked whole: the row, the source that it cites, and, of a property, the group or
-- coach that has it, with the source of that. Only such a row can permit; any other may forbid.
-- (What a statement rests on is in statement_part.)
WITH checked AS (
    SELECT e.table_name, e.row_key
    FROM towdb_data.entry_row AS e
    LEFT JOIN towdb_data.source AS d ON d.source_id = e.source_id
    WHERE e.checked_by IS NOT NULL AND e.checked_on IS NOT NULL
      AND (e.table_name = 'source' OR (d.checked_by IS NOT NULL AND d.checked_on IS NOT NULL))
)
SELECT c.table_name, c.row_key
FROM checked AS c
LEFT JOIN towdb_data.link AS l
  ON l.table_name = c.table_name AND l.row_key = c.row_key
 AND l.column_name IN ('vehicle_group_id', 'coach_id')
 AND l.table_name IN ('vehicle_property', 'coach_property')
LEFT JOIN checked AS o ON o.table_name = l.target_table AND o.row_key = l.target
WHERE l.row_key IS NULL OR o.row_key IS NOT NULL
